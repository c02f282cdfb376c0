/** Head read by a gauge, counted from the centre of the discharge pipe. */
import { defineFormula } from '../formula.ts'

/** Head in m at the discharge centre: pressure head and height of the gauge centre above it; the gauge line is full of water. */
export const gaugeHead = defineFormula({
  id: 'gauge-head',
  title: 'Head of the gauge',
  unit: 'm',
  inputs: { pressureHead: 'm', gaugeHeight: 'm' },
  expression: 'h_g = h + z_g',
  symbols: {
    pressureHead: ['h', 'head of the pressure at the gauge'],
    gaugeHeight: ['z_g', 'gauge centre above the discharge centre'],
  },
  source: { document: 'ISO 9906:2012', place: 'definitions of head (item from memory)', basis: 'from memory' },
  value: ({ pressureHead, gaugeHeight }) => pressureHead + gaugeHeight,
  partials: () => ({ pressureHead: 1, gaugeHeight: 1 }),
})
