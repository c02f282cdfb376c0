/** Head without velocity head. */
import { defineFormula } from '../formula.ts'

/** Head in m: lift and head of the discharge gauge. */
export const fieldHead = defineFormula({
  id: 'field-head',
  title: 'Head without velocity head',
  unit: 'm',
  inputs: { lift: 'm', gaugeHead: 'm' },
  expression: 'H_f = L + h_g',
  symbols: {
    lift: ['L', 'lift'],
    gaugeHead: ['h_g', 'head of the discharge gauge'],
  },
  source: {
    document: 'common practice',
    place: 'head of a pumping plant as tested on farms',
    basis: 'common practice',
  },
  value: ({ lift, gaugeHead }) => lift + gaugeHead,
  partials: () => ({ lift: 1, gaugeHead: 1 }),
})
