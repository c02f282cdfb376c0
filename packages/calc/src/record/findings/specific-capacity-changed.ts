import { exceeds, isResolved } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { OF_LAST_TEST, type SinceLast, sinceLastSound } from '../history.ts'
import { defineRecordFinding } from '../record-finding.ts'

const COVERAGE = 2

/** In m²/s: a well that gives 10 L/s for each metre of drawdown has 0.01. */
const example = (now: number, standardUncertainty: number, rest: Partial<SinceLast> = {}): SinceLast => ({
  ...{ against: ['other'], ofOtherFirm: false, run: 0, now, last: 0.01, standardUncertainty, equipmentChanged: false },
  other: 'your test of this plant of 2025-05-12',
  ...rest,
})

export const specificCapacityChanged = defineRecordFinding({
  id: 'specific-capacity-changed',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*',
  rule: 'Specific capacity changed since the last sound test by more than the limit and its uncertainty.',
  why: 'The well changes, or a level of one of the two tests is off.',
  compared: (comparison: Comparison): SinceLast[] => {
    // Where levels were exchanged their difference says nothing of the well.
    const { findings } = comparison.subject.evaluation
    return findings.some(({ id }) => id === 'pumping-level-above-standing')
      ? []
      : sinceLastSound(comparison, 'specific-capacity')
  },
  measures: { now: 'm2/s', last: 'm2/s', standardUncertainty: 'm2/s' },
  ofOthers: OF_LAST_TEST,
  limits: ['maxCapacityChange'],
  raised: ({ now, last, standardUncertainty }, { maxCapacityChange }) =>
    exceeds(Math.abs(now / last - 1), maxCapacityChange) &&
    isResolved(Math.abs(now - last), standardUncertainty, COVERAGE),
  message: ({ now, last, other, ofOtherFirm }, say, { maxCapacityChange }) =>
    `Specific capacity is ${
      ofOtherFirm
        ? `more than ${say.percent(maxCapacityChange)} ${now < last ? 'below' : 'above'} that of the last sound test of this plant`
        : `${say.percent(Math.abs(now / last - 1))} ${now < last ? 'below' : 'above'} that of ${other}`
    }.`,
  remedy:
    'Read both levels again, where the sounding access can be reached safely. If they are right, the well deserves attention before the pump.',
  source: ourJudgement('10 to 20 percent is usual between seasons and flows'),
  examples: {
    passes: [example(0.007, 0.0001), example(0.013, 0.0001), example(0.006, 0.002)],
    raises: [
      example(0.00699, 0.0001),
      example(0.01301, 0.0001),
      example(0.006, 0.00199),
      example(0.006, 0.0001, { ofOtherFirm: true, other: 'another test of this plant' }),
    ],
  },
})
