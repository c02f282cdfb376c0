import { exceeds } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import { dayNumber, secondsOf } from '../../instants.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'
import { spanOfReadings } from '../spans.ts'

interface Ahead extends Figures {
  /** Seconds by which the last reading, or the day of the test where it first begins, comes after receipt. */
  readonly ahead: number
}

const DAY = 86_400
/** Farthest time zone to the east: a day begins there first. */
const EARLIEST_ZONE = 14 * 3600

const example = (ahead: number): Ahead => ({ against: [], ofOtherFirm: false, ahead })

export const testDatedInFuture = defineRecordFinding({
  id: 'test-dated-in-future',
  group: 'time',
  severity: 'reject',
  place: '/testedOn',
  rule: 'A reading, or the day of the test, is later than the receipt of the sheet by more than a clock may be off.',
  why: 'Nothing can be read after it was sent; with a time that is wrong nothing else that rests on times can be judged.',
  compared: ({ subject: { sheet, receivedAt } }: Comparison): Ahead[] => {
    const dayBegins = dayNumber(sheet.testedOn) * DAY - EARLIEST_ZONE
    const last = spanOfReadings(sheet)?.to ?? dayBegins
    return [{ ...example(Math.max(last, dayBegins) - secondsOf(receivedAt)) }]
  },
  measures: { ahead: 's' },
  limits: ['clockTolerance'],
  raised: ({ ahead }, { clockTolerance }) => exceeds(ahead, clockTolerance),
  message: ({ ahead }, say) => `This test is dated ${say.time(ahead)} after it was received.`,
  remedy: 'Set the clock of the device, and send the true day and times as a revision.',
  source: ourJudgement('ten minutes cover a clock that drifts'),
  examples: { passes: [example(-3600), example(600)], raises: [example(601), example(7 * DAY)] },
})
