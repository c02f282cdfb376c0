import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const gaugeLowOnScale = defineFinding({
  id: 'gauge-low-on-scale',
  group: 'pressure',
  severity: 'note',
  place: '/runs/*/dischargePressure/reading',
  decidedFrom: 'context',
  rule: 'The reading lies in the lowest part of the gauge’s scale, and the error of the gauge matters for head.',
  why: 'The accuracy of a gauge is a share of its full scale, so a low reading is a poor one.',
  needs: ['dischargePressure', 'gaugeFullScale', 'dischargePressureHeadU', 'fieldHead'],
  limits: ['minScaleShare', 'minHeadEffect'],
  raised: ({ dischargePressure, gaugeFullScale, dischargePressureHeadU, fieldHead }, limits) =>
    dischargePressure > 0 &&
    fallsShort(dischargePressure, limits.minScaleShare * gaugeFullScale) &&
    exceeds(dischargePressureHeadU, limits.minHeadEffect * fieldHead),
  message: ({ dischargePressure, gaugeFullScale, dischargePressureHeadU }, say, limits) =>
    `${say.pressure(dischargePressure)} was read on a gauge that ends at ${say.pressure(gaugeFullScale)}; a reading above ${say.percent(limits.minScaleShare)} of the scale is expected. Here the gauge leaves head uncertain by ${say.length(dischargePressureHeadU)}.`,
  remedy:
    'Use a gauge on which the reading lies about the middle of the scale; change gauges only with the tap closed and vented.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: commonPractice('gauges are chosen to be read in the middle of the scale'),
  examples: {
    passes: [
      { dischargePressure: 250e3, gaugeFullScale: 1e6, dischargePressureHeadU: 0.9, fieldHead: 60 },
      { dischargePressure: 100e3, gaugeFullScale: 1e6, dischargePressureHeadU: 0.6, fieldHead: 60 },
      { dischargePressure: 0, gaugeFullScale: 1e6, dischargePressureHeadU: 0.9, fieldHead: 60 },
    ],
    raises: [
      { dischargePressure: 249e3, gaugeFullScale: 1e6, dischargePressureHeadU: 0.9, fieldHead: 60 },
      { dischargePressure: 100e3, gaugeFullScale: 1e6, dischargePressureHeadU: 0.61, fieldHead: 60 },
    ],
  },
})
