/**
 * How often the truth lies inside the 95 % interval, over honest visits to an invented basin.
 *
 * The truth and the errors of the instruments are the simulator’s, the intervals the method’s. Where an instrument’s
 * record states its accuracy, the error is drawn from the record; where none does, from common practice, which is what
 * the method’s defaults rest on too: there the measurement tells whether errors are carried on rightly, not whether
 * common practice is right.
 */
import { evaluate, latestEdition, type QuantityId, sheetProblems } from '@liftledger/calc'
import { type SimulatedVisit, simulateBasin, type Truth } from '@liftledger/simulator'

export const COMPARED = {
  'overall-plant-efficiency': 'overallEfficiency',
  flow: 'flow',
  'total-dynamic-head': 'totalHead',
  'input-power': 'inputPower',
} as const satisfies Partial<Record<QuantityId, keyof Truth>>
export type Compared = keyof typeof COMPARED

/** Results held against their truth. */
export class Tally {
  count = 0
  inside = 0
  #sum = 0
  #squares = 0
  #standard = 0

  add(value: number, expanded: number, standard: number, truth: number): void {
    this.count++
    if (Math.abs(value - truth) <= expanded) this.inside++
    const error = value / truth - 1
    this.#sum += error
    this.#squares += error * error
    this.#standard += standard / truth
  }

  get coverage(): number {
    return this.inside / this.count
  }
  /** Mean relative error. */
  get bias(): number {
    return this.#sum / this.count
  }
  /** Root of the mean square of the relative error. */
  get error(): number {
    return Math.sqrt(this.#squares / this.count)
  }
  /** Mean of the relative standard uncertainty that was stated. */
  get stated(): number {
    return this.#standard / this.count
  }
}

export interface Coverage {
  readonly visits: number
  readonly withMistakes: number
  /** By quantity, and by quantity and method: `flow`, `flow · pitot-traverse`. */
  readonly tallies: ReadonlyMap<string, Tally>
  /** Honest sheets with a finding of this severity and id. */
  readonly findings: ReadonlyMap<string, number>
  /** Honest sheets that were held or rejected. */
  readonly stopped: number
  /** By mistake: sheets with it, and those of them on which something beyond a note was found. */
  readonly mistakes: ReadonlyMap<string, { readonly made: number; readonly found: number; readonly stopped: number }>
}

interface Measuring {
  readonly tallies: Map<string, Tally>
  readonly findings: Map<string, number>
  readonly mistakes: Map<string, { made: number; found: number; stopped: number }>
}

function count(visit: SimulatedVisit, into: Measuring): boolean {
  const problems = sheetProblems(visit.sheet)
  if (problems.length > 0) throw new Error(`${visit.id}: ${problems[0]!.pointer} ${problems[0]!.message}`)
  const evaluation = evaluate(visit.sheet, visit.context, latestEdition)
  const stopped = evaluation.findings.some(({ severity }) => severity === 'reject' || severity === 'hold')
  const [mistake] = visit.mistakes
  if (mistake !== undefined) {
    const seen = into.mistakes.get(mistake) ?? { made: 0, found: 0, stopped: 0 }
    seen.made++
    if (evaluation.findings.some(({ severity }) => severity !== 'note')) seen.found++
    if (stopped) seen.stopped++
    into.mistakes.set(mistake, seen)
    return false
  }
  for (const finding of new Set(evaluation.findings.map(({ severity, id }) => `${severity} ${id}`)))
    into.findings.set(finding, (into.findings.get(finding) ?? 0) + 1)
  for (const { quantity, value, expandedUncertainty, standardUncertainty } of evaluation.results) {
    const name = COMPARED[quantity as Compared]
    if (name === undefined) continue
    for (const key of [quantity, `${quantity} · ${visit.flowMethod}`, `${quantity} · ${visit.powerMethod}`]) {
      const tally = into.tallies.get(key) ?? new Tally()
      into.tallies.set(key, tally)
      tally.add(value, expandedUncertainty, standardUncertainty, visit.truth[name])
    }
  }
  return stopped
}

/**
 * Evaluates the visits of a basin of so many plants.
 *
 * All tests of one instrument share its error. So that many errors are seen, and not one error often, there are as many
 * testers as plants: with three or four tests each. `mistakes` and `biased` are shares, of visits and of testers.
 */
export function measureCoverage(
  seed: number,
  plants: number,
  { mistakes = 0, biased = 0 }: { readonly mistakes?: number; readonly biased?: number } = {},
): Coverage {
  const firms = Math.max(1, Math.round(plants / 5))
  const testers = { firms, testersPerFirm: 5, biased: Math.round(biased * firms * 5) }
  const { visits } = simulateBasin({ seed, plants, years: 3, ...testers, mistakes })
  const into: Measuring = { tallies: new Map(), findings: new Map(), mistakes: new Map() }
  let [seen, withMistakes, stopped] = [0, 0, 0]
  for (const visit of visits) {
    seen++
    if (visit.mistakes.length > 0) withMistakes++
    if (count(visit, into)) stopped++
  }
  return { visits: seen, withMistakes, stopped, ...into }
}
