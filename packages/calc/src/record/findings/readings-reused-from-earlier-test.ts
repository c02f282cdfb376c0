import { ourJudgement } from '../../findings/sources.ts'
import { equalRun } from '../../readings-in-common.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding } from '../record-finding.ts'
import { isBeyondChance, MEASURES_OF_SHARED, type SharedReadings, sharedWith } from '../runs-in-common.ts'

const example = (surprise: number, searched: number, ofOtherFirm = false): SharedReadings => ({
  ...{ against: ['other'], ofOtherFirm, readings: 9, surprise, searched },
  other: ofOtherFirm ? 'another test of this plant' : 'your test of this plant of 2025-05-12',
})

export const readingsReusedFromEarlierTest = defineRecordFinding({
  id: 'readings-reused-from-earlier-test',
  group: 'integrity',
  severity: 'hold',
  place: '/runs',
  rule: 'Successive readings that scatter by nature equal those of an earlier test of the plant, in order, beyond chance.',
  why: 'Levels, columns and stopwatch times do not repeat digit by digit from one visit to the next.',
  compared: (comparison: Comparison): SharedReadings[] => {
    const { ofPlant } = comparison.record
    return sharedWith(comparison, ofPlant, ofPlant.length, equalRun)
  },
  measures: MEASURES_OF_SHARED,
  limits: ['minSharedSurprise'],
  raised: (shared, limits) => isBeyondChance(shared, limits.minSharedSurprise),
  message: ({ readings, other }) => `${readings} successive readings equal those of ${other}, digit by digit.`,
  remedy: 'Send the readings of this visit as a revision. If the wrong file was sent, withdraw the test.',
  source: ourJudgement(
    'each equal reading counts log10 of four standard deviations over its step, and a run the sum; see docs/shared-readings.md',
  ),
  examples: {
    passes: [example(5.99, 1), example(6.99, 10)],
    raises: [example(6, 1), example(7, 10), example(20, 3, true)],
  },
})
