import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'
import { overlapOf } from '../spans.ts'

interface TwoPlaces extends Figures {
  readonly plant: string
  readonly testedOn: string
  /** Time that lies in both visits. */
  readonly overlap: number
}

const example = (overlap: number): TwoPlaces => ({
  ...{ against: ['other'], ofOtherFirm: false, plant: 'KW-17', testedOn: '2026-05-12', overlap },
})

export const testsOverlapForTester = defineRecordFinding({
  id: 'tests-overlap-for-tester',
  group: 'time',
  severity: 'hold',
  place: '/runs',
  rule: 'Runs of this test and of a test of another plant by the same tester lie at the same time.',
  why: 'Nobody measures in two places at once: a time or the tester of one of the tests is wrong.',
  compared: (comparison: Comparison): TwoPlaces[] => {
    const { record, subject } = comparison
    const spans = comparison.spansOf(subject)
    return record.ofTester
      .filter(({ plant }) => plant !== subject.plant)
      .map((other) => {
        const overlap = overlapOf(spans, comparison.spansOf(other))
        return {
          ...comparison.with(other),
          ...{ plant: other.sheet.plant, testedOn: other.sheet.testedOn },
          overlap: overlap === undefined ? 0 : overlap.to - overlap.from,
        }
      })
      .sort((a, b) => b.overlap - a.overlap)
  },
  measures: { overlap: 's' },
  limits: [],
  raised: ({ overlap }) => overlap > 0,
  message: ({ plant, testedOn, overlap }, say) =>
    `The same tester is on record at plant ${plant} by your test of ${testedOn}; ${say.time(overlap)} lie in both visits.`,
  remedy: 'Correct the times or the tester of one of the tests by a revision.',
  source: ourJudgement('from the first to the last reading of each run; ends that touch are allowed'),
  examples: { passes: [example(0)], raises: [example(1), example(1800)] },
})
