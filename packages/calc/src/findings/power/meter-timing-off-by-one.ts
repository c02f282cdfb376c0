import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** With two timings nobody can tell which of them is off. */
const TIMINGS_TO_TELL = 3

export const meterTimingOffByOne = defineFinding({
  id: 'meter-timing-off-by-one',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/timings',
  decidedFrom: 'sheet',
  rule: 'One timing agrees with the others if its count is changed by exactly one.',
  why: 'It names the likely slip, so that it can be looked at while the pump still runs.',
  needs: ['timingCount', 'timingSpread', 'spreadIfOneCountWereOff'],
  limits: ['maxSpread', 'explainedSpread'],
  raised: ({ timingCount, timingSpread, spreadIfOneCountWereOff }, limits) =>
    timingCount >= TIMINGS_TO_TELL &&
    exceeds(timingSpread, limits.maxSpread) &&
    fallsShort(spreadIfOneCountWereOff, limits.explainedSpread),
  message: ({ timingSpread, spreadIfOneCountWereOff }, say) =>
    `The powers of the timings differ by ${say.percent(timingSpread)}; with one count more or less in one of them they would differ by ${say.percent(spreadIfOneCountWereOff)}.`,
  remedy: 'Time the meter again and count anew. The count on the sheet is not changed for you.',
  cautions: ['electrical-panel'],
  source: ourJudgement('a spread below one percent after the change is what reaction time leaves'),
  examples: {
    passes: [
      { timingCount: 3, timingSpread: 0.02, spreadIfOneCountWereOff: 0.004 },
      { timingCount: 3, timingSpread: 0.1, spreadIfOneCountWereOff: 0.01 },
      { timingCount: 2, timingSpread: 0.1, spreadIfOneCountWereOff: 0.004 },
    ],
    raises: [{ timingCount: 3, timingSpread: 0.1, spreadIfOneCountWereOff: 0.004 }],
  },
})
