import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const meterAndPanelDisagree = defineFinding({
  id: 'meter-and-panel-disagree',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/electrical',
  decidedFrom: 'sheet',
  rule: 'Power by the meter and power by voltage and current differ by more than the limit and more than both are uncertain.',
  why: 'Another load on the meter, a multiplier that is not right, or a clamp that is off.',
  needs: ['utilityMeter', 'inputPower', 'inputPowerU', 'panelPower', 'panelPowerU'],
  limits: ['maxPowerDifference'],
  raised: ({ utilityMeter, inputPower, inputPowerU, panelPower, panelPowerU }, limits) =>
    utilityMeter &&
    exceeds(
      Math.abs(inputPower - panelPower),
      Math.max(
        limits.maxPowerDifference * inputPower,
        2 * Math.sqrt(inputPowerU * inputPowerU + panelPowerU * panelPowerU),
      ),
    ),
  message: ({ inputPower, panelPower }, say) =>
    `The meter gives ${say.power(inputPower)}; volts and amperes read by qualified staff give ${say.power(panelPower)}.`,
  remedy:
    'Look for other loads, and read the multiplier again from the face of the meter or the utility’s card; the clamp is checked by qualified staff only.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: ourJudgement('volts, amperes and power factor are good to about 3 percent'),
  examples: {
    passes: [
      { utilityMeter: true, inputPower: 60e3, inputPowerU: 300, panelPower: 63_600, panelPowerU: 500 },
      { utilityMeter: true, inputPower: 60e3, inputPowerU: 300, panelPower: 64e3, panelPowerU: 2500 },
      { utilityMeter: false, inputPower: 60e3, inputPowerU: 300, panelPower: 20e3, panelPowerU: 500 },
    ],
    raises: [
      { utilityMeter: true, inputPower: 60e3, inputPowerU: 300, panelPower: 64e3, panelPowerU: 500 },
      { utilityMeter: true, inputPower: 60e3, inputPowerU: 300, panelPower: 6e3, panelPowerU: 200 },
    ],
  },
})
