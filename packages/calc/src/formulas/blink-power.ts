/** Power of a meter whose face gives blinks per kilowatt-hour. */
import { defineFormula } from '../formula.ts'

/** Power in W: pulses counted and multiplier, over the constant of the meter and the time they took. */
export const blinkPower = defineFormula({
  id: 'blink-power',
  title: 'Power of one timing',
  unit: 'W',
  inputs: { constant: 'pulse/J', pulses: 'pulse', multiplier: '1', elapsed: 's' },
  expression: 'P = N · M / (c · t)',
  symbols: {
    constant: ['c', 'pulses of the meter for a joule'],
    pulses: ['N', 'pulses counted'],
    multiplier: ['M', 'multiplier of the meter'],
    elapsed: ['t', 'time they took'],
  },
  source: { document: 'common practice', place: 'pulses per time over pulses per energy', basis: 'common practice' },
  value: ({ constant, pulses, multiplier, elapsed }) => (pulses * multiplier) / (constant * elapsed),
  partials: ({ constant, pulses, multiplier, elapsed }) => {
    const power = (pulses * multiplier) / (constant * elapsed)
    return {
      constant: -power / constant,
      pulses: multiplier / (constant * elapsed),
      multiplier: pulses / (constant * elapsed),
      elapsed: -power / elapsed,
    }
  },
})
