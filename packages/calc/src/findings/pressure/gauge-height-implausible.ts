import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const gaugeHeightImplausible = defineFinding({
  id: 'gauge-height-implausible',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/dischargePressure/gaugeHeightAboveDischargeCentre',
  decidedFrom: 'sheet',
  rule: 'The gauge is said to be far above or below the discharge pipe.',
  why: 'Inches taken for feet add head that isn’t there.',
  needs: ['gaugeHeight'],
  limits: ['maxGaugeHeight'],
  raised: ({ gaugeHeight }, limits) => exceeds(Math.abs(gaugeHeight), limits.maxGaugeHeight),
  message: ({ gaugeHeight }, say, limits) =>
    `The gauge is said to be ${say.length(Math.abs(gaugeHeight))} ${gaugeHeight < 0 ? 'below' : 'above'} the discharge centre; within ${say.length(limits.maxGaugeHeight)} is expected.`,
  remedy: 'Look at the unit, and measure again from the centre of the pipe to the centre of the gauge.',
  cautions: ['rotating-shaft'],
  source: ourJudgement('gauges on a hose hang within reach of a person'),
  examples: {
    passes: [{ gaugeHeight: 4.572 }, { gaugeHeight: -4.572 }, { gaugeHeight: 0.4 }],
    raises: [{ gaugeHeight: 4.6 }, { gaugeHeight: -12 }],
  },
})
