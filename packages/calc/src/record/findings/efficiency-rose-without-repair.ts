import { exceeds, isResolved } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { MEASURES_OF_RATIO, OF_LAST_TEST, type SinceLast, sinceLastSound } from '../history.ts'
import { defineRecordFinding } from '../record-finding.ts'

/** Standard uncertainties: about one false alarm in seven hundred. */
const COVERAGE = 3

const example = (now: number, standardUncertainty: number, rest: Partial<SinceLast> = {}): SinceLast => ({
  ...{ against: ['other'], ofOtherFirm: false, run: 0, now, last: 0.5, standardUncertainty, equipmentChanged: false },
  other: 'your test of this plant of 2025-05-12',
  ...rest,
})

export const efficiencyRoseWithoutRepair = defineRecordFinding({
  id: 'efficiency-rose-without-repair',
  group: 'results',
  severity: 'hold',
  place: '/runs/*',
  rule: 'Overall plant efficiency rose clearly since the last sound test while the same equipment is on record.',
  why: 'Pumps wear and do not heal: a repair is not on record, the duty is another one, or a reading of one of the tests is off.',
  compared: (comparison: Comparison): SinceLast[] => sinceLastSound(comparison, 'overall-plant-efficiency'),
  measures: MEASURES_OF_RATIO,
  ofOthers: OF_LAST_TEST,
  limits: ['maxRise'],
  raised: ({ now, last, standardUncertainty, equipmentChanged }, { maxRise }) =>
    !equipmentChanged && exceeds(now - last, maxRise) && isResolved(now - last, standardUncertainty, COVERAGE),
  message: ({ now, last, other, ofOtherFirm }, say, { maxRise }) =>
    `Overall plant efficiency is ${say.percent(now)}, ${
      ofOtherFirm
        ? `more than ${say.number(maxRise * 100)} percentage points above the last sound test of this plant`
        : `and ${other} found ${say.percent(last)}`
    }; no change of equipment is on record between them.`,
  remedy:
    'If the pump or the motor was repaired or replaced, record the new equipment with its date; if not, compare the readings of both tests.',
  source: ourJudgement('three standard uncertainties; another duty point explains part of a rise, seldom eight points'),
  silences: ['efficiency-changed-much'],
  examples: {
    passes: [
      example(0.58, 0.001),
      example(0.62, 0.04),
      example(0.3, 0.01),
      example(0.62, 0.01, { equipmentChanged: true }),
    ],
    raises: [
      example(0.5801, 0.001),
      example(0.62, 0.0399),
      example(0.62, 0.01, { ofOtherFirm: true, other: 'another test of this plant' }),
    ],
  },
})
