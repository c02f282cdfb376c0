import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const pitotVelocityTooLow = defineFinding({
  id: 'pitot-velocity-too-low',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'The mean velocity is too low for a pitot tube.',
  why: 'At 1 ft/s the columns differ by 0.19 in, so a tenth of an inch is a quarter of the flow.',
  needs: ['pitotTraverse', 'meanVelocity'],
  limits: ['minVelocity'],
  raised: ({ pitotTraverse, meanVelocity }, limits) => pitotTraverse && fallsShort(meanVelocity, limits.minVelocity),
  message: ({ meanVelocity }, say, limits) =>
    `The mean velocity is ${say.velocity(meanVelocity)}; a pitot tube needs ${say.velocity(limits.minVelocity)} or more.`,
  remedy:
    'Measure flow by another method, or at an existing tapping where the pipe is smaller. A new tapping is for people qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('about 1 ft/s is the lower limit of a pitot tube with a water column'),
  silences: ['manometer-readings-small'],
  examples: {
    passes: [
      { pitotTraverse: true, meanVelocity: 0.3048 },
      { pitotTraverse: false, meanVelocity: 0.2 },
    ],
    raises: [{ pitotTraverse: true, meanVelocity: 0.3 }],
  },
})
