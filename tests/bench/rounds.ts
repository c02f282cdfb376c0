/** Alternating rounds: what is compared runs turn by turn in one run, so that a slow minute slows both. */

export interface Spread {
  readonly median: number
  readonly least: number
  readonly most: number
}

export function spreadOf(values: readonly number[]): Spread {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  const median = sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
  return { median, least: sorted[0]!, most: sorted[sorted.length - 1]! }
}

/** Ratio of two series round by round. */
export const ratios = (above: readonly number[], below: readonly number[]): Spread =>
  spreadOf(above.map((value, round) => value / below[round]!))

/** Runs between two looks at the clock. */
const BETWEEN_LOOKS = 20

/** Runs `work` until `ms` have passed; answers how many runs fit into a second of this process's own CPU time. */
export function perCpuSecond(work: () => void, ms: number): number {
  const before = process.cpuUsage()
  const until = performance.now() + ms
  let runs = 0
  do {
    for (let i = 0; i < BETWEEN_LOOKS; i++) work()
    runs += BETWEEN_LOOKS
  } while (performance.now() < until)
  const { user, system } = process.cpuUsage(before)
  return runs / ((user + system) / 1e6)
}

/** A figure of the bench, as written to the file. */
export interface Figure {
  readonly id: string
  readonly value: number
  readonly unit: string
  readonly goal: number | null
  readonly better: 'higher' | 'lower'
}

const short = (value: number): string =>
  value >= 1000 ? Math.round(value).toLocaleString('en-US') : value.toPrecision(3)

/** One line for people: value, goal, spread, and what was compared. */
export function tell({ id, unit, goal, better }: Omit<Figure, 'value'>, spread: Spread, compared: string): void {
  const met =
    goal === null ? '' : (better === 'higher' ? spread.median >= goal : spread.median <= goal) ? '  met' : '  NOT MET'
  const wanted = goal === null ? 'reported as it is' : `goal ${better === 'higher' ? '≥' : '≤'} ${short(goal)}`
  console.log(
    `${id}  ${short(spread.median)} ${unit}  [${short(spread.least)} – ${short(spread.most)}]  ${wanted}${met}`,
  )
  console.log(`    ${compared}`)
}
