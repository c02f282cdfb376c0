import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const orificeHeadTooSmall = defineFinding({
  id: 'orifice-head-too-small',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/head',
  decidedFrom: 'sheet',
  rule: 'The water in the tube stands less than one pipe diameter above the pipe’s centre.',
  why: 'The pipe may not run full, and the head is small against what can be read.',
  needs: ['orificeHead', 'pipeDiameter'],
  limits: ['minHeadToPipe'],
  raised: ({ orificeHead, pipeDiameter }, limits) => fallsShort(orificeHead / pipeDiameter, limits.minHeadToPipe),
  message: ({ orificeHead, pipeDiameter }, say) =>
    `The head is ${say.shortLength(orificeHead)} in a pipe of ${say.shortLength(pipeDiameter)}; one diameter or more is expected.`,
  remedy: 'Use a smaller plate; plates are changed with the pump stopped and locked and the line empty.',
  cautions: ['lock-out', 'pressure-and-hammer'],
  source: ourJudgement('at half a diameter the crown of the pipe is just under pressure; one diameter leaves a margin'),
  examples: {
    passes: [{ orificeHead: 0.2, pipeDiameter: 0.2 }],
    raises: [{ orificeHead: 0.19, pipeDiameter: 0.2 }],
  },
})
