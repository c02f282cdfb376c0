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

export const ROUNDS = 5

/** What each of some contestants measures in each round; every other round goes backwards, so that none is always first. */
export async function alternate<T>(contestants: readonly (() => Promise<T>)[]): Promise<T[][]> {
  const measured: T[][] = contestants.map(() => [])
  for (let round = 0; round < ROUNDS; round++) {
    const order = [...contestants.keys()]
    if (round % 2 === 1) order.reverse()
    for (const index of order) measured[index]!.push(await contestants[index]!())
  }
  return measured
}

export interface Rate {
  /** Runs for each second of CPU time of this process, all its threads: what other processes take does not count. */
  readonly perCpuS: number
  /** Runs for each second of the clock. */
  readonly perClockS: number
}

/** Runs between two looks at the clock; ten times as many steps of the clock as a look takes, for what is fast. */
const LOOK_EVERY_MS = 1

/** Runs `work` until `ms` have passed. */
export function perCpuSecond(work: () => void, ms: number): Rate {
  const before = process.cpuUsage()
  const started = performance.now()
  let runs = 0
  let between = 1
  let now = started
  while (now - started < ms) {
    for (let i = 0; i < between; i++) work()
    runs += between
    now = performance.now()
    between = Math.max(1, Math.floor((LOOK_EVERY_MS * runs) / (now - started)))
  }
  const { user, system } = process.cpuUsage(before)
  return { perCpuS: runs / ((user + system) / 1e6), perClockS: runs / ((now - started) / 1000) }
}

/** A figure of the bench, as written to the file. */
export interface Figure {
  readonly id: string
  readonly value: number
  readonly unit: string
  readonly goal: number | null
  readonly better: 'higher' | 'lower'
}

export const whole = (value: number): string => Math.round(value).toLocaleString('en-US')
const short = (value: number): string => (Math.abs(value) >= 1000 ? whole(value) : value.toPrecision(3))

/** For people: value, spread and goal, then what was compared. */
export function tell(
  { id, unit, goal, better }: Omit<Figure, 'value'>,
  spread: Spread,
  compared: readonly string[],
): void {
  const met = goal !== null && (better === 'higher' ? spread.median >= goal : spread.median <= goal)
  const wanted =
    goal === null ? 'no goal' : `goal ${better === 'higher' ? '≥' : '≤'} ${goal >= 1000 ? whole(goal) : goal}`
  console.log(
    `\n${id}  ${short(spread.median)} ${unit}  [${short(spread.least)} – ${short(spread.most)}]  ${wanted}${goal === null ? '' : met ? ': reached' : ': not reached'}`,
  )
  for (const line of compared) console.log(`    ${line}`)
}
