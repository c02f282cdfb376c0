/** Mean power over an interval. */
import { defineFormula } from '../formula.ts'

/** Mean power in W: energy over the time it took. */
export const intervalPower = defineFormula({
  id: 'interval-power',
  title: 'Mean power over the interval',
  unit: 'W',
  inputs: { energy: 'J', elapsed: 's' },
  expression: 'P = E / t',
  symbols: { energy: ['E', 'energy registered'], elapsed: ['t', 'time between the readings'] },
  source: { document: 'general science', place: 'power is energy over time', basis: 'derived' },
  value: ({ energy, elapsed }) => energy / elapsed,
  partials: ({ energy, elapsed }) => ({ energy: 1 / elapsed, elapsed: -energy / (elapsed * elapsed) }),
})
