import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pipeOutOfRound = defineFinding({
  id: 'pipe-out-of-round',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/pipe/insideDiameters',
  decidedFrom: 'sheet',
  rule: 'Inside diameters at right angles differ by more than the limit.',
  why: 'The pipe is dented, or a diameter was misread.',
  needs: ['diameterSpread'],
  limits: ['maxOutOfRound'],
  raised: ({ diameterSpread }, limits) => exceeds(diameterSpread, limits.maxOutOfRound),
  message: ({ diameterSpread }, say, limits) =>
    `The inside diameters differ by ${say.percent(diameterSpread)} of their mean; at most ${say.percent(limits.maxOutOfRound)} is expected. The circle with the area of their ellipse was used.`,
  remedy: 'Measure both diameters again at the section of the traverse.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('two percent of the diameter is beyond the tolerance of a mill'),
  examples: {
    passes: [{ diameterSpread: 0.02 }, { diameterSpread: 0 }],
    raises: [{ diameterSpread: 0.021 }],
  },
})
