import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const totaliserRunsBackwards = defineFinding({
  id: 'totaliser-runs-backwards',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/end',
  decidedFrom: 'sheet',
  rule: 'The second reading of the totaliser is lower than the first, and no rollover explains it.',
  why: 'A digit was misread, or the flow reversed.',
  needs: ['totaliserStart', 'totaliserEnd'],
  limits: [],
  raised: ({ totaliserStart, totaliserEnd, totaliserRollover }) =>
    totaliserEnd < totaliserStart && totaliserRollover !== true,
  message: ({ totaliserStart, totaliserEnd }, say) =>
    `The totaliser stood ${say.number(totaliserStart - totaliserEnd)} m3 lower at the end than at the start; flow is not reported.`,
  remedy:
    'Read both again. If the register started anew at zero between the readings, give the volume at which it does.',
  source: commonPractice('a register counts up'),
  spoils: ['flow'],
  examples: {
    passes: [
      { totaliserStart: 10, totaliserEnd: 12 },
      { totaliserStart: 998, totaliserEnd: 2, totaliserRollover: true },
    ],
    raises: [
      { totaliserStart: 12, totaliserEnd: 10 },
      { totaliserStart: 12, totaliserEnd: 10, totaliserRollover: false },
    ],
  },
})
