import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const traversesOfTwoDiametersDisagree = defineFinding({
  id: 'traverses-of-two-diameters-disagree',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'The mean velocities of the diameters differ by more than the limit.',
  why: 'The profile is asymmetric, or the flow changed between the traverses.',
  needs: ['velocitySpreadOfDiameters'],
  limits: ['maxDiameterSpread'],
  raised: ({ velocitySpreadOfDiameters }, limits) => exceeds(velocitySpreadOfDiameters, limits.maxDiameterSpread),
  message: ({ velocitySpreadOfDiameters }, say, limits) =>
    `The mean velocities of the diameters differ by ${say.percent(velocitySpreadOfDiameters)}; at most ${say.percent(limits.maxDiameterSpread)} is expected.`,
  remedy: 'Repeat the first diameter, and read the pressure again to see whether the flow moved.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('half of the limit for two halves, since each diameter already averages its own'),
  examples: {
    passes: [{ velocitySpreadOfDiameters: 0.05 }, { velocitySpreadOfDiameters: 0.01 }],
    raises: [{ velocitySpreadOfDiameters: 0.051 }],
  },
})
