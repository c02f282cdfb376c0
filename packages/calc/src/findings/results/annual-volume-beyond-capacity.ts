import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const annualVolumeBeyondCapacity = defineFinding({
  id: 'annual-volume-beyond-capacity',
  group: 'results',
  severity: 'hold',
  place: '/economics/annualVolume',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'The annual volume is more than the plant delivers running all year.',
  why: 'A unit is not right, or several plants share the figure.',
  needs: ['annualVolume', 'flow'],
  limits: ['hoursOfYear'],
  raised: ({ annualVolume, flow }, limits) => flow > 0 && exceeds(annualVolume, flow * limits.hoursOfYear),
  message: ({ annualVolume, flow }, say) =>
    `The annual volume would need ${say.number(annualVolume / flow / 3600)} hours at ${say.flow(flow)}; a year has 8760.`,
  remedy: 'Look at the unit, and whether several plants share the figure.',
  source: commonPractice('8760 hours a year'),
  examples: {
    passes: [
      { annualVolume: 31_536_000 * 0.05, flow: 0.05 },
      { annualVolume: 4e5, flow: 0.05 },
      { annualVolume: 4e5, flow: -1 },
    ],
    raises: [{ annualVolume: 2e6, flow: 0.05 }],
  },
})
