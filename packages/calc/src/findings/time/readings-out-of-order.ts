import type { Facts } from '../facts.ts'
import { defineFinding } from '../finding.ts'
import { lateness } from '../lateness.ts'
import { commonPractice } from '../sources.ts'

const standingAfterStart = ({ standingLevelAt, standingByRecovery, pumpStartedAt }: Facts): number =>
  standingByRecovery === true ? 0 : lateness(standingLevelAt, pumpStartedAt)

export const readingsOutOfOrder = defineFinding({
  id: 'readings-out-of-order',
  group: 'time',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The times contradict the order of a visit: standing level before the start, start before the readings, readings before the stop.',
  why: 'A standing level read while pumping, or a pumping level read before the start, is not what it is called.',
  needs: [],
  limits: [],
  raised: (facts) =>
    standingAfterStart(facts) > 0 ||
    lateness(facts.pumpStartedAt, facts.firstReadAt) > 0 ||
    lateness(facts.lastReadAt, facts.pumpStoppedAt) > 0,
  message: (facts, say) => {
    const standing = standingAfterStart(facts)
    if (standing > 0) {
      return `The standing level is timed ${say.time(standing)} after the pump was started; it is read at rest, before the start.`
    }
    const early = lateness(facts.pumpStartedAt, facts.firstReadAt)
    if (early > 0) {
      return `The first reading of the run is timed ${say.time(early)} before the pump was started; readings of a run come after it.`
    }
    const late = lateness(facts.lastReadAt, facts.pumpStoppedAt)
    return `The last reading of the run is timed ${say.time(late)} after the pump was stopped; readings of a run come before it.`
  },
  remedy:
    'Look at the clock that was used and at the labels of the readings, and submit the sheet with the true times.',
  source: commonPractice('order of a visit'),
  examples: {
    passes: [
      {},
      { standingLevelAt: 0, pumpStartedAt: 0, firstReadAt: 0, lastReadAt: 3000, pumpStoppedAt: 3000 },
      { standingLevelAt: 0, pumpStartedAt: 780, firstReadAt: 1980, lastReadAt: 3780, pumpStoppedAt: 4000 },
      { standingLevelAt: 90_000, standingByRecovery: true, pumpStartedAt: 780 },
    ],
    raises: [
      { standingLevelAt: 900, pumpStartedAt: 780 },
      { firstReadAt: 700, pumpStartedAt: 780 },
      { lastReadAt: 4100, pumpStoppedAt: 4000 },
    ],
  },
})
