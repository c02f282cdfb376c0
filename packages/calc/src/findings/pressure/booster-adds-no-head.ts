import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const boosterAddsNoHead = defineFinding({
  id: 'booster-adds-no-head',
  group: 'pressure',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Total dynamic head of a booster between two gauges is zero or negative.',
  why: 'The gauges were exchanged, or the pump does not pump.',
  needs: ['suctionGaugeRead', 'totalDynamicHead', 'dischargePressure', 'suctionPressure'],
  limits: [],
  raised: ({ suctionGaugeRead, totalDynamicHead }) => suctionGaugeRead && !exceeds(totalDynamicHead, 0),
  message: ({ totalDynamicHead, dischargePressure, suctionPressure }, say) =>
    `A discharge of ${say.pressure(dischargePressure)} and a suction of ${say.pressure(suctionPressure)} give a head of ${say.length(totalDynamicHead)}; a pump adds head.`,
  remedy: 'Look which of the two gauges is which.',
  source: commonPractice('a pump that runs adds head'),
  spoils: ['field-head', 'total-dynamic-head', 'water-power'],
  silences: ['total-head-not-positive', 'efficiency-unusually-low'],
  examples: {
    passes: [
      { suctionGaugeRead: true, totalDynamicHead: 0.1, dischargePressure: 201e3, suctionPressure: 200e3 },
      { suctionGaugeRead: false, totalDynamicHead: -2, dischargePressure: 1e3, suctionPressure: -2e4 },
    ],
    raises: [
      { suctionGaugeRead: true, totalDynamicHead: 0, dischargePressure: 2e5, suctionPressure: 2e5 },
      { suctionGaugeRead: true, totalDynamicHead: -21, dischargePressure: 1e5, suctionPressure: 3e5 },
    ],
  },
})
