import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const powerUnsteadyDemand = defineFinding({
  id: 'power-unsteady-demand',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/steadyOverInterval',
  decidedFrom: 'sheet',
  rule: 'A demand register was read although the pump did not run steadily over its whole interval.',
  why: 'The register shows a mean over its interval.',
  needs: ['steadyOverInterval'],
  limits: [],
  raised: ({ steadyOverInterval }) => !steadyOverInterval,
  message: () => 'The interval of the demand register is not covered by steady running as tested.',
  remedy: 'Let a whole interval pass in steady running, or time the utility meter from outside.',
  cautions: ['electrical-panel'],
  source: commonPractice('a demand register holds the mean of its interval'),
  examples: { passes: [{ steadyOverInterval: true }], raises: [{ steadyOverInterval: false }] },
})
