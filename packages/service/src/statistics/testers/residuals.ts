/**
 * What is left of overall plant efficiency after what the plant explains: kind, power class, region and age of the
 * equipment. An instrument’s error is a share of what it reads, so that logarithms are compared: a difference of 0.02 is
 * 2 % of the efficiency.
 */

import type { TesterMean } from './funnel.ts'
import { leastSquares } from './least-squares.ts'

export interface TestOfTester {
  readonly tester: string
  readonly plant: string
  readonly kind: string
  readonly powerClass: string
  readonly region: string
  /** From when the equipment is in place to the visit; undefined where that is not on record. */
  readonly ageYears: number | undefined
  /** A ratio above 0. */
  readonly efficiency: number
  /** Standard uncertainty that the test states, as a share of the efficiency. */
  readonly relativeUncertainty: number
  /** Whether flow was measured with an instrument that the tester brought: a meter of the plant is nobody’s. */
  readonly ownFlowInstrument: boolean
}

export interface Explained {
  /** Of each test, in their order: logarithm of the efficiency, less what is expected of such a plant. */
  readonly residuals: readonly number[]
  /** Standard deviation of the logarithms, before and after. */
  readonly deviationBefore: number
  readonly deviationAfter: number
  /** Change of the logarithm with each year of age. */
  readonly perYearOfAge: number
  readonly perYearOfAgeError: number
}

const FACTORS = ['kind', 'powerClass', 'region'] as const

/** Columns of a constant, of each value of each factor but its first, of age, and of age not on record. */
function columnsOf(tests: readonly TestOfTester[]): number[][] {
  const columns = [tests.map(() => 1)]
  for (const factor of FACTORS) {
    const values = [...new Set(tests.map((test) => test[factor]))].toSorted()
    for (const value of values.slice(1)) columns.push(tests.map((test) => (test[factor] === value ? 1 : 0)))
  }
  columns.push(tests.map(({ ageYears }) => (ageYears === undefined ? 1 : 0)))
  columns.push(tests.map(({ ageYears }) => ageYears ?? 0))
  return columns
}

export function explainedByPlants(tests: readonly TestOfTester[]): Explained {
  const logs = tests.map(({ efficiency }) => Math.log(efficiency))
  const mean = logs.reduce((sum, value) => sum + value, 0) / logs.length
  const squares = logs.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  const fit = leastSquares(columnsOf(tests), logs)
  return {
    residuals: fit.residuals,
    deviationBefore: Math.sqrt(squares / (logs.length - 1)),
    deviationAfter: fit.residualDeviation,
    perYearOfAge: fit.coefficients.at(-1)!,
    perYearOfAgeError: fit.standardErrors.at(-1)!,
  }
}

export interface Components {
  /** Variance between plants, and within a plant from test to test. */
  readonly between: number
  readonly within: number
}

/**
 * Variance components of one grouping, by moments of the analysis of variance (S. R. Searle, G. Casella, C. E. McCulloch,
 * Variance Components, 1992, section 3.6; from memory). Where no plant has two tests all of it is between.
 *
 * @throws RangeError with fewer than two groups
 */
export function componentsOf(groups: readonly (readonly number[])[]): Components {
  if (groups.length < 2) throw new RangeError('There must be two groups to tell between from within.')
  const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0)
  const n = groups.reduce((count, { length }) => count + length, 0)
  const mean = groups.reduce((sum, values) => sum + sumOf(values), 0) / n
  let [within, between, squares] = [0, 0, 0]
  for (const values of groups) {
    const own = sumOf(values) / values.length
    between += values.length * (own - mean) ** 2
    squares += values.length ** 2
    for (const value of values) within += (value - own) ** 2
  }
  const repeated = n - groups.length
  const size = (n - squares / n) / (groups.length - 1)
  const spread = between / (groups.length - 1)
  if (repeated === 0) return { between: spread, within: 0 }
  const rest = within / repeated
  return { between: Math.max(0, (spread - rest) / size), within: rest }
}

/**
 * Mean residual of each tester. Its standard error counts plants, not tests: tests of one plant are not independent of
 * one another, since what the plant is and no record says is in all of them.
 */
export function meansByTester(tests: readonly TestOfTester[], residuals: readonly number[]): TesterMean[] {
  const indexed = tests.map((test, n) => ({ ...test, residual: residuals[n]! }))
  const plants = [...Map.groupBy(indexed, ({ plant }) => plant).values()]
  if (plants.length < 2) return []
  const components = componentsOf(plants.map((own) => own.map(({ residual }) => residual)))
  return [...Map.groupBy(indexed, ({ tester }) => tester)].map(([tester, own]) => {
    const counts = [...Map.groupBy(own, ({ plant }) => plant).values()].map(({ length }) => length)
    const n = own.length
    const squares = counts.reduce((sum, count) => sum + count * count, 0)
    return {
      tester,
      tests: n,
      plants: counts.length,
      value: own.reduce((sum, { residual }) => sum + residual, 0) / n,
      standardError: Math.sqrt(components.between * squares + components.within * n) / n,
      // What the tester’s own instruments can put into his mean.
      spread: own.reduce((sum, one) => sum + (one.ownFlowInstrument ? one.relativeUncertainty : 0), 0) / n,
    }
  })
}
