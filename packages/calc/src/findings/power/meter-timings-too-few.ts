import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meterTimingsTooFew = defineFinding({
  id: 'meter-timings-too-few',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/timings',
  decidedFrom: 'sheet',
  rule: 'The meter was timed fewer times than is usual.',
  why: 'With one or two timings a slip of the stopwatch can’t be seen.',
  needs: ['timingCount'],
  limits: ['minTimings'],
  raised: ({ timingCount }, limits) => fallsShort(timingCount, limits.minTimings),
  message: ({ timingCount }, say, limits) =>
    `${counted(timingCount, 'timing')} of the meter given; ${say.number(limits.minTimings)} or more are expected.`,
  remedy: 'Time the meter again in the same run.',
  cautions: ['electrical-panel'],
  source: commonPractice('three repeats of about 30 s'),
  examples: {
    passes: [{ timingCount: 3 }, { timingCount: 5 }],
    raises: [{ timingCount: 1 }, { timingCount: 2 }],
  },
})
