import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const drawdownIsZero = defineFinding({
  id: 'drawdown-is-zero',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'Standing and pumping level are the same within the steps of a tape.',
  why: 'A figure written twice and a probe that hangs on a joint both look like this.',
  needs: ['drawdown'],
  limits: ['zeroDrawdown'],
  // The limit itself still is “the same”.
  raised: ({ drawdown }, limits) => !exceeds(Math.abs(drawdown), limits.zeroDrawdown),
  message: ({ drawdown }, say, limits) =>
    `Standing and pumping level differ by ${say.length(Math.abs(drawdown))}; some drawdown, more than ${say.length(limits.zeroDrawdown)}, is expected while water flows.`,
  remedy:
    'Where the access can be reached safely, sound again and move the probe gently to be sure that it hangs free. One that is stuck is not pulled hard, and the pump is not started while it hangs: tell whoever runs it.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('a few steps of a tape read to a hundredth of a foot, and its offset'),
  examples: {
    passes: [{ drawdown: 0.016 }, { drawdown: 7.1 }, { drawdown: -0.5 }],
    raises: [{ drawdown: 0 }, { drawdown: 0.01524 }, { drawdown: -0.01524 }],
  },
})
