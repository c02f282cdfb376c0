import { exceeds, isResolved } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { MEASURES_OF_RATIO, OF_LAST_TEST, type SinceLast, sinceLastSound } from '../history.ts'
import { defineRecordFinding } from '../record-finding.ts'

const COVERAGE = 2

const example = (now: number, standardUncertainty: number, rest: Partial<SinceLast> = {}): SinceLast => ({
  ...{ against: ['other'], ofOtherFirm: false, run: 0, now, last: 0.6, standardUncertainty, equipmentChanged: false },
  other: 'your test of this plant of 2025-05-12',
  ...rest,
})

export const efficiencyChangedMuch = defineRecordFinding({
  id: 'efficiency-changed-much',
  group: 'results',
  severity: 'caution',
  place: '/runs/*',
  rule: 'Overall plant efficiency changed since the last sound test by more than the limit and its uncertainty, with the same equipment on record.',
  why: 'Wear takes a few points a year; more is damage, or a reading of one of the two tests is off.',
  compared: (comparison: Comparison): SinceLast[] => sinceLastSound(comparison, 'overall-plant-efficiency'),
  measures: MEASURES_OF_RATIO,
  ofOthers: OF_LAST_TEST,
  limits: ['maxEfficiencyChange'],
  raised: ({ now, last, standardUncertainty, equipmentChanged }, { maxEfficiencyChange }) => {
    const change = Math.abs(now - last)
    return (
      !equipmentChanged && exceeds(change, maxEfficiencyChange) && isResolved(change, standardUncertainty, COVERAGE)
    )
  },
  message: ({ now, last, other, ofOtherFirm }, say, { maxEfficiencyChange }) =>
    `Overall plant efficiency is ${say.percent(now)}, ${
      ofOtherFirm
        ? `more than ${say.number(maxEfficiencyChange * 100)} percentage points away from the last sound test of this plant`
        : `and ${other} found ${say.percent(last)}`
    }; no change of equipment is on record between them.`,
  remedy: 'Compare the readings of both tests: the one that changed most points to the reason.',
  source: ourJudgement('ten points between two tests is several years of usual wear'),
  examples: {
    passes: [
      example(0.5, 0.01),
      example(0.7, 0.01),
      example(0.45, 0.075),
      example(0.45, 0.01, { equipmentChanged: true }),
    ],
    raises: [
      example(0.4999, 0.01),
      example(0.7001, 0.01),
      example(0.45, 0.0749),
      example(0.45, 0.01, { ofOtherFirm: true, other: 'another test of this plant' }),
    ],
  },
})
