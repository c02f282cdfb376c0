/** Power the plant takes, without other loads on the meter. */
import { defineFormula } from '../formula.ts'

/** Input power in W: power at the meter less what else the meter fed. */
export const inputPower = defineFormula({
  id: 'input-power',
  title: 'Input power',
  unit: 'W',
  inputs: { metered: 'W', otherLoad: 'W' },
  expression: 'P_in = P − P_other',
  symbols: {
    metered: ['P', 'power through the meter'],
    otherLoad: ['P_other', 'what else the meter feeds'],
  },
  source: {
    document: 'common practice',
    place: 'other loads are subtracted only if they were read',
    basis: 'common practice',
  },
  value: ({ metered, otherLoad }) => metered - otherLoad,
  partials: () => ({ metered: 1, otherLoad: -1 }),
})
