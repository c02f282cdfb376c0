/** Power of a meter that gives pulses of known energy. */
import { defineFormula } from '../formula.ts'

/** Power in W: energy of a pulse, pulses counted, multiplier, over the time they took. */
export const pulsePower = defineFormula({
  id: 'pulse-power',
  title: 'Power of one timing',
  unit: 'W',
  inputs: { energy: 'J/pulse', pulses: 'pulse', multiplier: '1', elapsed: 's' },
  expression: 'P = K · N · M / t',
  symbols: {
    energy: ['K', 'energy of one pulse'],
    pulses: ['N', 'pulses counted'],
    multiplier: ['M', 'multiplier of the meter'],
    elapsed: ['t', 'time they took'],
  },
  source: { document: 'common practice', place: 'energy per pulse times pulses per time', basis: 'common practice' },
  value: ({ energy, pulses, multiplier, elapsed }) => (energy * pulses * multiplier) / elapsed,
  partials: ({ energy, pulses, multiplier, elapsed }) => {
    const power = (energy * pulses * multiplier) / elapsed
    return {
      energy: (pulses * multiplier) / elapsed,
      pulses: (energy * multiplier) / elapsed,
      multiplier: (energy * pulses) / elapsed,
      elapsed: -power / elapsed,
    }
  },
})
