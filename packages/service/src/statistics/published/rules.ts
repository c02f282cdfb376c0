/**
 * Which cells may not be told for what they hold themselves.
 *
 * Minimum frequency: threshold rule, OECD Glossary of Statistical Terms, 2005; that customers are counted beside plants, and
 * again without any one firm's tests, is this project's judgement. Dominance (n, k) = (2, 85): ESSnet Handbook on Statistical
 * Disclosure Control, version 1.2, 2010. p percent: Statistics New Zealand, Microdata Output Guide, 2013; the value is
 * this project's judgement and is not told.
 */
import type { CountedTest } from './lattice.ts'

/** What every publication says of itself. */
export const RULES = {
  plantsMin: 5,
  customersMin: 3,
  dominanceCustomers: 2,
  dominancePercent: 85,
  percentilesFromPlants: 10,
  histogramBinPlantsMin: 3,
  histogramBinCustomersMin: 2,
  changeCustomersMin: 3,
  countsRoundedTo: 5,
} as const

/** Of the p percent rule, as a ratio. It stands in no answer: who knows it knows how near the bounds are. */
export const P = 0.15

export const MARKS = ['too few', 'dominated', 'protects another cell', 'merged', 'not measured'] as const
export type Mark = (typeof MARKS)[number]

/** What tests of a cell hold of one additive figure, none below nothing. */
export type Magnitude = (test: CountedTest) => number

export function distinct<T>(tests: readonly CountedTest[], of: (test: CountedTest) => T): number {
  return new Set(tests.map(of)).size
}

const plantOf = ({ plant }: CountedTest): string => plant
const customerOf = ({ customer }: CountedTest): string => customer

/** Whether enough plants of enough customers are in it. */
export const isEnough = (tests: readonly CountedTest[]): boolean =>
  distinct(tests, plantOf) >= RULES.plantsMin && distinct(tests, customerOf) >= RULES.customersMin

/**
 * What is left for each firm that takes its own tests out, where something is: a firm knows its own, so that the figures of a
 * cell less its own are those of its peers.
 */
function withoutEachFirm(tests: readonly CountedTest[]): CountedTest[][] {
  return [...new Set(tests.map(({ firm }) => firm))]
    .map((firm) => tests.filter((test) => test.firm !== firm))
    .filter(({ length }) => length > 0)
}

/**
 * Whether the largest customers hold too much: dominance, or p percent. With 85 and 15 percent the first withholds all that the
 * second does; both are kept, since readers know the one, and the other is the better one against who is in the cell.
 */
export function isDominated(tests: readonly CountedTest[], magnitude: Magnitude): boolean {
  const held = new Map<string, number>()
  for (const test of tests) held.set(test.customer, (held.get(test.customer) ?? 0) + magnitude(test))
  const shares = [...held.values()].sort((a, b) => b - a)
  const total = shares.reduce((sum, one) => sum + one, 0)
  const top = shares.slice(0, RULES.dominanceCustomers).reduce((sum, one) => sum + one, 0)
  if (total === 0) return false
  return (
    top * 100 > total * RULES.dominancePercent || total - (shares[0] ?? 0) - (shares[1] ?? 0) < P * (shares[0] ?? 0)
  )
}

/** Whether the largest customers hold too much of a weight, of all or beside the tests of a firm. */
export const isAnyDominated = (tests: readonly CountedTest[], weights: readonly Magnitude[]): boolean =>
  weights.length > 0 &&
  [tests, ...withoutEachFirm(tests)].some((left) => weights.some((weight) => isDominated(left, weight)))

/** Why a cell is withheld for what it holds; undefined where it may be told. A cell without a test is a real zero. */
export function ownMark(tests: readonly CountedTest[], weights: readonly Magnitude[]): Mark | undefined {
  if (tests.length === 0) return undefined
  if (![tests, ...withoutEachFirm(tests)].every(isEnough)) return 'too few'
  return isAnyDominated(tests, weights) ? 'dominated' : undefined
}
