/** Water level by sound, at the temperature of the air that the sound went through. */
import { defineFormula } from '../formula.ts'

const KELVIN = 273.15

/** Depth in m below the measuring point: what the device shows, for the speed of sound at the temperature of the casing. */
export const acousticLevel = defineFormula({
  id: 'acoustic-level',
  title: 'Water level by sound at the temperature of the casing',
  unit: 'm',
  inputs: { shown: 'm', casing: 'degC', set: 'degC' },
  expression: 'h = r · √((273.15 K + T_a) / (273.15 K + T_s))',
  symbols: {
    shown: ['r', 'depth that the device shows'],
    casing: ['T_a', 'temperature of the air in the casing'],
    set: ['T_s', 'temperature set in the device'],
  },
  source: {
    document: 'general science',
    place: 'speed of sound in an ideal gas grows with the root of the absolute temperature',
    basis: 'derived',
  },
  value: ({ shown, casing, set }) => shown * Math.sqrt((KELVIN + casing) / (KELVIN + set)),
  partials: ({ shown, casing, set }) => {
    const ratio = Math.sqrt((KELVIN + casing) / (KELVIN + set))
    return {
      shown: ratio,
      casing: (shown * ratio) / (2 * (KELVIN + casing)),
      set: (-shown * ratio) / (2 * (KELVIN + set)),
    }
  },
})
