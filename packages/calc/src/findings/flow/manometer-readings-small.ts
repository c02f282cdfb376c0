import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const manometerReadingsSmall = defineFinding({
  id: 'manometer-readings-small',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'The columns of the manometer are short against the step in which they are read.',
  why: 'The step of the scale then makes most of the uncertainty of flow.',
  needs: ['medianColumn', 'manometerStep', 'meanVelocity'],
  limits: ['minSteps', 'minVelocity'],
  raised: ({ medianColumn, manometerStep, meanVelocity }, limits) =>
    !fallsShort(meanVelocity, limits.minVelocity) && fallsShort(medianColumn, limits.minSteps * manometerStep),
  message: ({ medianColumn, manometerStep }, say, limits) =>
    `The median column is ${say.shortLength(medianColumn)}, read in steps of ${say.shortLength(manometerStep)}; at least ${say.number(limits.minSteps)} steps are expected.`,
  remedy:
    'Read to a finer step, use a manometer that is inclined or filled for longer columns, or measure flow by another method.',
  source: ourJudgement('with ten steps one step is five percent of the velocity of a point'),
  examples: {
    passes: [
      { medianColumn: 0.02, manometerStep: 0.002, meanVelocity: 0.6 },
      { medianColumn: 0.019, manometerStep: 0.002, meanVelocity: 0.3 },
    ],
    raises: [
      { medianColumn: 0.019, manometerStep: 0.002, meanVelocity: 0.6 },
      { medianColumn: 0.005, manometerStep: 0.002, meanVelocity: 0.3048 },
    ],
  },
})
