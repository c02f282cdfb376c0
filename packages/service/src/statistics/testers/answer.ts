/** Testers beside one another: from all tests after what plants explain, and from repeats on the same plants. */
import { toWire } from '../../http/ids.ts'
import { funnelOf, TESTS_MIN, type TesterMean } from './funnel.ts'
import { type GatheredTests, repeatsOf } from './gather.ts'
import { offsetsOf, REPEATS_MIN } from './repeats.ts'
import { explainedByPlants, meansByTester } from './residuals.ts'
import { NO_FAULT, type TesterComparison, type TesterStatistics } from './schemas.ts'

const INTERVAL_95 = 1.959963984540054
/** With fewer tests than this a fit explains nothing. */
const TESTS_TO_EXPLAIN = 2 * TESTS_MIN

export function testerStatistics(
  { tests, leftOut, ledgerSize }: GatheredTests,
  asked: Pick<TesterStatistics, 'driver' | 'of'>,
): TesterStatistics {
  const firms = new Map(tests.map(({ tester, firm }) => [tester, firm]))
  const explained = tests.length < TESTS_TO_EXPLAIN ? undefined : explainedByPlants(tests)
  const means = explained === undefined ? tooFewOf(tests) : meansByTester(tests, explained.residuals)
  const { residuals: _, ...figures } = explained ?? { residuals: [] }
  return {
    ...asked,
    ledgerSize,
    tests: tests.length,
    leftOut: {
      inQuestion: leftOut['in-question'],
      unsound: leftOut.unsound,
      superseded: leftOut.superseded,
      withdrawn: leftOut.withdrawn,
      withoutEfficiency: leftOut['without-efficiency'],
    },
    ...(explained !== undefined && { explained: figures as NonNullable<TesterStatistics['explained']> }),
    allTests: compared(means, TESTS_MIN, firms),
    samePlants: compared(offsetsOf(repeatsOf(tests)), REPEATS_MIN, firms),
    remark: NO_FAULT,
  }
}

const tooFewOf = (tests: GatheredTests['tests']): TesterMean[] =>
  [...Map.groupBy(tests, ({ tester }) => tester)].map(([tester, own]) => ({
    tester,
    tests: own.length,
    plants: new Set(own.map(({ plant }) => plant)).size,
    value: 0,
    standardError: 0,
    spread: 0,
  }))

function compared(
  means: readonly TesterMean[],
  leastCount: number,
  firms: ReadonlyMap<string, string>,
): TesterComparison {
  const funnel = funnelOf(means, leastCount)
  const named = (tester: string) => ({
    testerId: toWire('tester', tester),
    firmId: toWire('firm', firms.get(tester)!),
  })
  return {
    leastCount,
    ...(funnel !== undefined && {
      commonShare: funnel.commonShare,
      innerLimit: funnel.limits.inner,
      outerLimit: funnel.limits.outer,
    }),
    testers: (funnel?.testers ?? [])
      .toSorted((a, b) => Math.abs(b.score) - Math.abs(a.score) || (a.tester < b.tester ? -1 : 1))
      .map(({ tester, tests, plants, difference, standardError, spread, score, place }) => ({
        ...named(tester),
        count: tests,
        plants,
        difference: Math.expm1(difference),
        low: Math.expm1(difference - INTERVAL_95 * standardError),
        high: Math.expm1(difference + INTERVAL_95 * standardError),
        standardError,
        statedUncertainty: spread,
        score,
        place,
      })),
    tooFew: (funnel?.tooFew ?? means).map(({ tester, tests }) => ({ ...named(tester), count: tests })),
  }
}
