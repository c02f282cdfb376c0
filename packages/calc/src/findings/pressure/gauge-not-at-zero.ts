import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const gaugeNotAtZero = defineFinding({
  id: 'gauge-not-at-zero',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/dischargePressure/gaugeZero',
  decidedFrom: 'context',
  rule: 'The gauge did not return to zero when vented.',
  why: 'A gauge that has lost its zero may have lost more than that.',
  needs: ['gaugeZero', 'gaugeFullScale'],
  limits: ['maxZeroShare'],
  raised: ({ gaugeZero, gaugeFullScale }, limits) => exceeds(Math.abs(gaugeZero), limits.maxZeroShare * gaugeFullScale),
  message: ({ gaugeZero, gaugeFullScale }, say, limits) =>
    `The gauge showed ${say.pressure(gaugeZero)} when open to the air; within ${say.pressure(limits.maxZeroShare * gaugeFullScale)} of zero is expected. What it showed was subtracted from the reading.`,
  remedy:
    'Have this gauge adjusted and calibrated. Change gauges only with the tap closed and vented, and read again with one that returns to zero.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: ourJudgement('one percent of full scale is the whole allowance of a gauge of class 1.0'),
  examples: {
    passes: [
      { gaugeZero: 10e3, gaugeFullScale: 1e6 },
      { gaugeZero: -10e3, gaugeFullScale: 1e6 },
      { gaugeZero: 0, gaugeFullScale: 1e6 },
    ],
    raises: [
      { gaugeZero: 11e3, gaugeFullScale: 1e6 },
      { gaugeZero: -11e3, gaugeFullScale: 1e6 },
    ],
  },
})
