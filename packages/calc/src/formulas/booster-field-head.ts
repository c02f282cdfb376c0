/** Head of a booster between its two gauges, without velocity heads. */
import { defineFormula } from '../formula.ts'

/** Head in m: discharge gauge head less suction head, both counted from the discharge centre. */
export const boosterFieldHead = defineFormula({
  id: 'booster-field-head',
  title: 'Head between suction and discharge, without velocity heads',
  unit: 'm',
  inputs: { gaugeHead: 'm', suctionHead: 'm' },
  expression: 'H_f = h_g − H_s',
  symbols: {
    gaugeHead: ['h_g', 'head of the discharge gauge'],
    suctionHead: ['H_s', 'suction head above the discharge centre'],
  },
  source: { document: 'ISO 9906:2012', place: 'definition of total head (item from memory)', basis: 'from memory' },
  value: ({ gaugeHead, suctionHead }) => gaugeHead - suctionHead,
  partials: () => ({ gaugeHead: 1, suctionHead: -1 }),
})
