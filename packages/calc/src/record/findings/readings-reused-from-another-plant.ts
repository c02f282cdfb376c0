import { ourJudgement } from '../../findings/sources.ts'
import { equalRun } from '../../readings-in-common.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding } from '../record-finding.ts'
import { isBeyondChance, MEASURES_OF_SHARED, type SharedReadings, sharedWith } from '../runs-in-common.ts'

const example = (surprise: number, searched: number, ofOtherFirm = false): SharedReadings => ({
  ...{ against: ['other'], ofOtherFirm, readings: 22, surprise, searched },
  other: ofOtherFirm ? 'another test of another plant' : 'your test of another plant of 2026-05-12',
})

export const readingsReusedFromAnotherPlant = defineRecordFinding({
  id: 'readings-reused-from-another-plant',
  group: 'integrity',
  severity: 'hold',
  place: '/runs',
  rule: 'Successive readings that scatter by nature equal those of a test of another plant, in order, beyond chance.',
  why: 'Two plants do not share a profile of velocity and stopwatch times.',
  compared: (comparison: Comparison): SharedReadings[] =>
    sharedWith(comparison, comparison.record.lookalikes, comparison.record.searched, equalRun),
  measures: MEASURES_OF_SHARED,
  limits: ['minSharedSurprise'],
  raised: (shared, limits) => isBeyondChance(shared, limits.minSharedSurprise),
  message: ({ readings, other }) => `${readings} successive readings equal those of ${other}, digit by digit.`,
  remedy: 'Send the readings of this plant as a revision. If the wrong file was sent, withdraw the test.',
  source: ourJudgement(
    'as between visits to one plant; the limit grows with the tests searched, so that false alarms stay rare in a large store',
  ),
  examples: {
    passes: [example(5.99, 1), example(11.99, 1_000_000)],
    raises: [example(6, 1), example(12, 1_000_000), example(20, 5000, true)],
  },
})
