/**
 * Units as functions: `feet(118.4)` is a reading of 118.4 ft. Nothing is converted; the value stays as it was read.
 */

/** What may be said of one reading beside its value. */
export interface Taken {
  /** When it was read: RFC 3339 with offset and seconds, for example `2026-05-12T08:49:00-07:00`. */
  readonly at?: string
  /** Code of the instrument, where it is another than the one named for this use. */
  readonly instrument?: string
}

export interface UnitFunction<U extends string> {
  (value: number): { value: number; unit: U }
  (value: number, taken: Taken): { value: number; unit: U; at?: string; instrument?: string }
  readonly unit: U
}

const unitOf = <const U extends string>(unit: U): UnitFunction<U> =>
  Object.assign((value: number, taken?: Taken) => ({ value, unit, ...taken }), { unit })

// Length.
export const feet = unitOf('ft')
export const inches = unitOf('in')
export const yards = unitOf('yd')
export const metres = unitOf('m')
export const centimetres = unitOf('cm')
export const millimetres = unitOf('mm')

// Pressure.
export const psi = unitOf('psi')
export const kilopascals = unitOf('kPa')
export const bar = unitOf('bar')
export const megapascals = unitOf('MPa')
export const pascals = unitOf('Pa')
export const inchesOfMercury = unitOf('inHg')
export const millimetresOfMercury = unitOf('mmHg')
export const feetOfWater = unitOf('ftH2O')
export const inchesOfWater = unitOf('inH2O')
export const metresOfWater = unitOf('mH2O')
export const kilogramsForcePerSquareCentimetre = unitOf('kgf/cm2')

// Volume.
export const gallons = unitOf('gal')
export const imperialGallons = unitOf('imp-gal')
export const cubicFeet = unitOf('ft3')
export const acreFeet = unitOf('acre-ft')
export const acreInches = unitOf('acre-in')
export const cubicMetres = unitOf('m3')
export const litres = unitOf('L')
export const megalitres = unitOf('ML')
export const hectareMillimetres = unitOf('ha-mm')

// Flow.
export const gpm = unitOf('gpm')
export const cubicFeetPerSecond = unitOf('cfs')
export const acreFeetPerDay = unitOf('acre-ft/d')
export const acreInchesPerHour = unitOf('acre-in/h')
export const millionGallonsPerDay = unitOf('MGD')
export const litresPerSecond = unitOf('L/s')
export const cubicMetresPerHour = unitOf('m3/h')
export const megalitresPerDay = unitOf('ML/d')
export const cubicMetresPerSecond = unitOf('m3/s')
/** 40 to the cubic foot per second. */
export const minersInchesOf40 = unitOf('miners-inch-40')
/** 50 to the cubic foot per second. */
export const minersInchesOf50 = unitOf('miners-inch-50')
/** 38.4 to the cubic foot per second. */
export const minersInchesOf38 = unitOf('miners-inch-38.4')

// Velocity.
export const feetPerSecond = unitOf('ft/s')
export const metresPerSecond = unitOf('m/s')

// Power.
export const horsepower = unitOf('hp')
export const metricHorsepower = unitOf('metric-hp')
export const kilowatts = unitOf('kW')
export const watts = unitOf('W')

// Energy.
export const kilowattHours = unitOf('kWh')
export const megawattHours = unitOf('MWh')
export const wattHours = unitOf('Wh')
export const btu = unitOf('Btu')
export const therms = unitOf('therm')
export const thermsEc = unitOf('therm-ec')
export const joules = unitOf('J')
export const megajoules = unitOf('MJ')
export const gigajoules = unitOf('GJ')
export const horsepowerHours = unitOf('hp-h')

// The utility meter.
/** Kh of a disk meter. */
export const wattHoursPerRevolution = unitOf('Wh/rev')
export const revolutions = unitOf('rev')
export const wattHoursPerPulse = unitOf('Wh/pulse')
export const kilowattHoursPerPulse = unitOf('kWh/pulse')
/** Constant of a meter that blinks. */
export const pulsesPerKilowattHour = unitOf('imp/kWh')
export const pulses = unitOf('pulse')

// Electricity.
export const volts = unitOf('V')
export const kilovolts = unitOf('kV')
export const amperes = unitOf('A')
export const degrees = unitOf('deg')
export const hertz = unitOf('Hz')

// Fuel.
export const btuPerGallon = unitOf('Btu/gal')
export const btuPerCubicFoot = unitOf('Btu/ft3')
export const megajoulesPerLitre = unitOf('MJ/L')
export const megajoulesPerCubicMetre = unitOf('MJ/m3')
export const kilowattHoursPerCubicMetre = unitOf('kWh/m3')

// The rest.
export const fahrenheit = unitOf('degF')
export const celsius = unitOf('degC')
export const kelvin = unitOf('K')
export const seconds = unitOf('s')
export const minutes = unitOf('min')
export const hours = unitOf('h')
export const days = unitOf('d')
export const radians = unitOf('rad')
export const rpm = unitOf('rpm')
export const ratio = unitOf('1')
export const percent = unitOf('%')

/** A price of energy, with the currency's ISO 4217 code: `perKilowattHour(0.162, 'USD')`. */
export const perKilowattHour = (value: number, currency: string) => ({ value, unit: `${currency}/kWh` })

/** A price of fuel: `perUnitOfFuel(4.1, 'USD', 'gal')`. */
export const perUnitOfFuel = (value: number, currency: string, unit: 'gal' | 'L' | '1000 ft3' | 'm3') => ({
  value,
  unit: `${currency}/${unit}`,
})

/** A fluctuating column by the lowest and highest of its swing: `swinging(inches, 2.4, 2.6)`. */
export const swinging = <U extends string>({ unit }: UnitFunction<U>, low: number, high: number) => ({
  unit,
  low,
  high,
})

/** A fluctuating column by several values read one after the other: `repeated(inches, 2.4, 2.5, 2.4)`. */
export const repeated = <U extends string>({ unit }: UnitFunction<U>, ...repeats: [number, number, ...number[]]) => ({
  unit,
  repeats,
})
