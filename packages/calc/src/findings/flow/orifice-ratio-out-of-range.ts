import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const orificeRatioOutOfRange = defineFinding({
  id: 'orifice-ratio-out-of-range',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/orificeDiameter',
  decidedFrom: 'sheet',
  rule: 'The orifice is outside the usual range of diameters of its pipe.',
  why: 'Coefficients were found for plates within this range.',
  needs: ['orificeDiameter', 'pipeDiameter'],
  limits: ['minOrificeRatio', 'maxOrificeRatio'],
  raised: ({ orificeDiameter, pipeDiameter }, limits) =>
    fallsShort(orificeDiameter / pipeDiameter, limits.minOrificeRatio) ||
    exceeds(orificeDiameter / pipeDiameter, limits.maxOrificeRatio),
  message: ({ orificeDiameter, pipeDiameter }, say, limits) =>
    `The orifice is ${say.number(orificeDiameter / pipeDiameter)} of the pipe’s diameter; ${say.number(limits.minOrificeRatio)} to ${say.number(limits.maxOrificeRatio)} is expected.`,
  remedy: 'Choose another plate; plates are changed with the pump stopped and locked and the line empty.',
  cautions: ['lock-out', 'pressure-and-hammer'],
  source: commonPractice('plates of 0.4 to 0.83 of the pipe'),
  examples: {
    passes: [
      { orificeDiameter: 0.08, pipeDiameter: 0.2 },
      { orificeDiameter: 0.166, pipeDiameter: 0.2 },
    ],
    raises: [
      { orificeDiameter: 0.079, pipeDiameter: 0.2 },
      { orificeDiameter: 0.167, pipeDiameter: 0.2 },
    ],
  },
})
