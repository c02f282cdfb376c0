import { exceeds } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import { dayNumber, secondsOf } from '../../instants.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'
import { spanOfReadings } from '../spans.ts'

interface Delay extends Figures {
  /** Seconds from the last reading, or from the end of the day where it ends last, to receipt. */
  readonly delay: number
}

const DAY = 86_400
/** Farthest time zone to the west: a day ends there last. */
const LATEST_ZONE = 12 * 3600

const example = (delay: number): Delay => ({ against: [], ofOtherFirm: false, delay })

export const testSubmittedLate = defineRecordFinding({
  id: 'test-submitted-late',
  group: 'time',
  severity: 'caution',
  place: '/testedOn',
  rule: 'The sheet came long after the visit.',
  why: 'Memory fades, and photographs and field notes get lost.',
  compared: ({ record: { subject, revised } }: Comparison): Delay[] => {
    // A correction comes later by nature.
    if (revised !== undefined) return []
    const { sheet, receivedAt } = subject
    const last = spanOfReadings(sheet)?.to ?? (dayNumber(sheet.testedOn) + 1) * DAY + LATEST_ZONE
    return [example(secondsOf(receivedAt) - last)]
  },
  measures: { delay: 's' },
  limits: ['maxDelay'],
  raised: ({ delay }, { maxDelay }) => exceeds(delay, maxDelay),
  message: ({ delay }, say, { maxDelay }) =>
    `The sheet was received ${say.number(Math.floor(delay / DAY))} days after the visit; ${say.number(maxDelay / DAY)} days are usual.`,
  remedy: 'Keep the field notes and photographs of the visit: whoever decides about the test may ask for them.',
  source: ourJudgement('a month covers work without signal and an office day once a month'),
  examples: { passes: [example(0), example(30 * DAY)], raises: [example(30 * DAY + 60), example(200 * DAY)] },
})
