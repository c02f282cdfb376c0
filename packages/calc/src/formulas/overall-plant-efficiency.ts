/** Overall plant efficiency: useful power over power bought. */
import { defineFormula } from '../formula.ts'

/** Ratio of water power to input power, both in W. */
export const overallPlantEfficiency = defineFormula({
  id: 'overall-plant-efficiency',
  title: 'Overall plant efficiency',
  unit: '1',
  inputs: { waterPower: 'W', inputPower: 'W' },
  expression: 'η = P_w / P_in',
  symbols: {
    waterPower: ['P_w', 'power given to the water'],
    inputPower: ['P_in', 'input power'],
  },
  source: { document: 'ISO 9906:2012', place: 'overall efficiency (item from memory)', basis: 'from memory' },
  value: ({ waterPower, inputPower }) => waterPower / inputPower,
  partials: ({ waterPower, inputPower }) => ({
    waterPower: 1 / inputPower,
    inputPower: -waterPower / (inputPower * inputPower),
  }),
})
