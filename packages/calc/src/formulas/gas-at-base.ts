/** Volume of natural gas at the conditions to which its heating value belongs. */
import { defineFormula } from '../formula.ts'
import { toSi } from '../units.ts'
import { BASE_TEMPERATURE_C } from './liquid-fuel-at-base.ts'

const BASE_PRESSURE_PA = toSi({ value: 14.73, unit: 'psi' }, 'pressure')
const KELVIN = 273.15
const BASE_TEMPERATURE_K = BASE_TEMPERATURE_C + KELVIN

/** Volume in m³ at 14.73 psi absolute and 60 °F, as an ideal gas. */
export const gasAtBase = defineFormula({
  id: 'gas-at-base',
  title: 'Volume of the gas at base conditions',
  unit: 'm3',
  inputs: { volume: 'm3', gaugePressure: 'Pa', barometricPressure: 'Pa', temperature: 'degC' },
  expression: 'V_b = V · (p_g + p_a) / p_b · T_b / (T + 273.15 K)',
  symbols: {
    volume: ['V', 'volume as metered'],
    gaugePressure: ['p_g', 'gauge pressure at the meter'],
    barometricPressure: ['p_a', 'pressure of the air; p_b is 14.73 psi'],
    temperature: ['T', 'temperature of the gas; T_b is 60 °F in kelvins'],
  },
  validity: 'below about 60 psi, where the gas departs from an ideal one by less than one percent',
  source: {
    document: 'general science',
    place: 'ideal gas law; base conditions of US gas measurement, 14.73 psi and 60 °F',
    basis: 'derived',
  },
  value: ({ volume, gaugePressure, barometricPressure, temperature }) =>
    (((volume * (gaugePressure + barometricPressure)) / BASE_PRESSURE_PA) * BASE_TEMPERATURE_K) /
    (temperature + KELVIN),
  partials: ({ volume, gaugePressure, barometricPressure, temperature }) => {
    const share = BASE_TEMPERATURE_K / (temperature + KELVIN) / BASE_PRESSURE_PA
    const pressure = gaugePressure + barometricPressure
    return {
      volume: pressure * share,
      gaugePressure: volume * share,
      barometricPressure: volume * share,
      temperature: (-volume * pressure * share) / (temperature + KELVIN),
    }
  },
})
