import { exceeds } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import { dayNumber } from '../../instants.ts'
import type { Comparison } from '../comparison.ts'
import { earlierTests } from '../history.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'

/** Fewer levels do not show how far they scatter. */
const TESTS_TO_TELL = 3
const DEVIATIONS = 4
const FIVE_YEARS_IN_DAYS = 1826

interface LevelBesideHistory extends Figures {
  readonly level: number
  /** Median of the earlier tests, and their standard deviation. */
  readonly expected: number
  readonly deviation: number
  readonly tests: number
}

const median = (sorted: readonly number[]): number =>
  (sorted[Math.floor((sorted.length - 1) / 2)]! + sorted[Math.ceil((sorted.length - 1) / 2)]!) / 2

function deviationOf(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) * (value - mean), 0) / (values.length - 1))
}

const example = (level: number, deviation: number, rest: Partial<LevelBesideHistory> = {}): LevelBesideHistory => ({
  ...{ against: ['other'], ofOtherFirm: false, level, expected: 30, deviation, tests: 3 },
  ...rest,
})
/** The limit in metres: 20 ft. */
const STEP = 6.096

export const standingLevelFarFromHistory = defineRecordFinding({
  id: 'standing-level-far-from-history',
  group: 'levels',
  severity: 'caution',
  place: '/standingLevel',
  rule: 'The standing level differs from the median of three or more earlier tests within five years by more than the limit and four of their standard deviations.',
  why: 'A slip in the tens or hundreds of feet looks like a dry year.',
  compared: (comparison: Comparison): LevelBesideHistory[] => {
    const { subject } = comparison
    const levelOf = ({ evaluation }: typeof subject) =>
      evaluation.results.find(({ quantity }) => quantity === 'standing-water-level')?.value
    const level = levelOf(subject)
    const from = dayNumber(subject.sheet.testedOn) - FIVE_YEARS_IN_DAYS
    const others = earlierTests(comparison).filter(
      (other) => dayNumber(other.sheet.testedOn) >= from && levelOf(other) !== undefined,
    )
    if (level === undefined || others.length < TESTS_TO_TELL) return []
    const levels = others.map((other) => levelOf(other)!).sort((a, b) => a - b)
    return [
      {
        ...comparison.with(...others),
        ...{ level, expected: median(levels), deviation: deviationOf(levels), tests: levels.length },
      },
    ]
  },
  measures: { level: 'm', expected: 'm', deviation: 'm', tests: '1' },
  ofOthers: ['expected', 'deviation', 'tests'],
  limits: ['maxLevelStep'],
  raised: ({ level, expected, deviation, tests }, { maxLevelStep }) =>
    tests >= TESTS_TO_TELL && exceeds(Math.abs(level - expected), Math.max(maxLevelStep, DEVIATIONS * deviation)),
  message: ({ level, expected, tests, ofOtherFirm }, say, { maxLevelStep }) =>
    `The standing level is ${say.length(level)}; ${
      ofOtherFirm
        ? `earlier tests of this plant lie more than ${say.length(maxLevelStep)} away`
        : `the median of your ${tests} earlier tests of this plant is ${say.length(expected)}`
    }.`,
  remedy: 'Check the tens and hundreds digits of the reading. If it is right, it is news for the grower.',
  source: ourJudgement('four standard deviations of the plant’s own record, and 20 ft where that is steady'),
  examples: {
    passes: [example(30 + STEP, 0.5), example(30 - STEP, 0.5), example(38, 2), example(60, 0.5, { tests: 2 })],
    raises: [
      example(30.001 + STEP, 0.5),
      example(29.999 - STEP, 0.5),
      example(38, 1.99),
      example(60, 0.5, { ofOtherFirm: true }),
    ],
  },
})
