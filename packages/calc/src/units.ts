/**
 * Units the trade writes on a field sheet, with their exact factors to SI.
 *
 * Every factor follows from exact definitions: inch 0.0254 m, pound 0.45359237 kg, US gallon 231 in³,
 * standard gravity 9.80665 m/s² (NIST Special Publication 811, appendix B.8, 2008; NIST Handbook 44, appendix C).
 * Nothing is converted before it is stored; conversion happens once, at the leaf of the calculation.
 */

const FOOT = 0.3048
const INCH = 0.0254
const POUND_FORCE = 0.45359237 * 9.80665
const US_GALLON = 231 * INCH * INCH * INCH
const CUBIC_FOOT = FOOT * FOOT * FOOT
const ACRE_FOOT = 43560 * CUBIC_FOOT
const HORSEPOWER = 550 * FOOT * POUND_FORCE
const KILOWATT_HOUR = 3.6e6
const BTU_IT = 1055.05585262
const PSI = POUND_FORCE / (INCH * INCH)

/** Symbols as the trade writes them; `ucum` is accepted beside the symbol (Unified Code for Units of Measure). */
interface UnitDeclaration {
  readonly factor: number
  /** Added before the factor is applied: SI = (value + offset) × factor. Only temperatures use it. */
  readonly offset?: number
  readonly ucum?: string
}

const dimensions = {
  length: {
    si: 'm',
    units: {
      ft: { factor: FOOT, ucum: '[ft_i]' },
      in: { factor: INCH, ucum: '[in_i]' },
      yd: { factor: 3 * FOOT, ucum: '[yd_i]' },
      m: { factor: 1 },
      cm: { factor: 0.01 },
      mm: { factor: 0.001 },
    },
  },
  pressure: {
    si: 'Pa',
    units: {
      psi: { factor: PSI, ucum: '[psi]' },
      kPa: { factor: 1e3 },
      bar: { factor: 1e5 },
      MPa: { factor: 1e6 },
      Pa: { factor: 1 },
      inHg: { factor: 3386.38864, ucum: "[in_i'Hg]" },
      mmHg: { factor: 133.322387415, ucum: 'mm[Hg]' },
      ftH2O: { factor: FOOT * 9806.65, ucum: "[ft_i'H2O]" },
      inH2O: { factor: INCH * 9806.65, ucum: "[in_i'H2O]" },
      mH2O: { factor: 9806.65, ucum: 'm[H2O]' },
      'kgf/cm2': { factor: 98066.5 },
    },
  },
  volume: {
    si: 'm3',
    units: {
      gal: { factor: US_GALLON, ucum: '[gal_us]' },
      'imp-gal': { factor: 4.54609e-3, ucum: '[gal_br]' },
      ft3: { factor: CUBIC_FOOT, ucum: '[cft_i]' },
      'acre-ft': { factor: ACRE_FOOT },
      'acre-in': { factor: ACRE_FOOT / 12 },
      m3: { factor: 1 },
      L: { factor: 0.001 },
      ML: { factor: 1000 },
      'ha-mm': { factor: 10 },
    },
  },
  flow: {
    si: 'm3/s',
    units: {
      gpm: { factor: US_GALLON / 60, ucum: '[gal_us]/min' },
      cfs: { factor: CUBIC_FOOT, ucum: '[cft_i]/s' },
      'acre-ft/d': { factor: ACRE_FOOT / 86400 },
      'acre-in/h': { factor: ACRE_FOOT / 12 / 3600 },
      MGD: { factor: (1e6 * US_GALLON) / 86400 },
      'L/s': { factor: 0.001 },
      'm3/h': { factor: 1 / 3600 },
      'ML/d': { factor: 1000 / 86400 },
      'm3/s': { factor: 1 },
      'miners-inch-40': { factor: CUBIC_FOOT / 40 },
      'miners-inch-50': { factor: CUBIC_FOOT / 50 },
      'miners-inch-38.4': { factor: CUBIC_FOOT / 38.4 },
    },
  },
  velocity: { si: 'm/s', units: { 'ft/s': { factor: FOOT, ucum: '[ft_i]/s' }, 'm/s': { factor: 1 } } },
  power: {
    si: 'W',
    units: {
      hp: { factor: HORSEPOWER, ucum: '[HP]' },
      'metric-hp': { factor: 735.49875 },
      kW: { factor: 1000 },
      W: { factor: 1 },
    },
  },
  energy: {
    si: 'J',
    units: {
      kWh: { factor: KILOWATT_HOUR, ucum: 'kW.h' },
      MWh: { factor: 1000 * KILOWATT_HOUR },
      Wh: { factor: 3600, ucum: 'W.h' },
      Btu: { factor: BTU_IT, ucum: '[Btu_IT]' },
      therm: { factor: 1.054804e8 },
      'therm-ec': { factor: 1e5 * BTU_IT },
      J: { factor: 1 },
      MJ: { factor: 1e6 },
      GJ: { factor: 1e9 },
      'hp-h': { factor: HORSEPOWER * 3600 },
    },
  },
  'energy-per-revolution': { si: 'J/rev', units: { 'Wh/rev': { factor: 3600 } } },
  'energy-per-pulse': {
    si: 'J/pulse',
    units: { 'Wh/pulse': { factor: 3600 }, 'kWh/pulse': { factor: KILOWATT_HOUR } },
  },
  'pulses-per-energy': { si: 'pulse/J', units: { 'imp/kWh': { factor: 1 / KILOWATT_HOUR } } },
  temperature: {
    si: 'degC',
    units: {
      degC: { factor: 1, ucum: 'Cel' },
      degF: { factor: 1 / 1.8, offset: -32, ucum: '[degF]' },
      K: { factor: 1, offset: -273.15 },
    },
  },
  time: { si: 's', units: { s: { factor: 1 }, min: { factor: 60 }, h: { factor: 3600 }, d: { factor: 86400 } } },
  revolutions: { si: 'rev', units: { rev: { factor: 1 } } },
  pulses: { si: 'pulse', units: { pulse: { factor: 1 } } },
  angle: { si: 'rad', units: { deg: { factor: Math.PI / 180 }, rad: { factor: 1 } } },
  frequency: { si: 'Hz', units: { Hz: { factor: 1 } } },
  ratio: { si: '1', units: { '1': { factor: 1 }, '%': { factor: 0.01 } } },
  voltage: { si: 'V', units: { V: { factor: 1 }, kV: { factor: 1000 } } },
  current: { si: 'A', units: { A: { factor: 1 } } },
  speed: { si: 'rev/s', units: { rpm: { factor: 1 / 60 } } },
  // Computed only, never read: results carry them.
  density: { si: 'kg/m3', units: { 'kg/m3': { factor: 1 } } },
  'specific-capacity': {
    si: 'm2/s',
    units: { 'gpm/ft': { factor: US_GALLON / 60 / FOOT }, '(L/s)/m': { factor: 0.001 }, 'm2/s': { factor: 1 } },
  },
  'energy-per-volume': {
    si: 'J/m3',
    units: {
      'kWh/acre-ft': { factor: KILOWATT_HOUR / ACRE_FOOT },
      'kWh/1000 m3': { factor: KILOWATT_HOUR / 1000 },
      'J/m3': { factor: 1 },
    },
  },
  'energy-per-volume-and-head': {
    si: 'J/m3/m',
    units: {
      'kWh/acre-ft/ft': { factor: KILOWATT_HOUR / ACRE_FOOT / FOOT },
      'kWh/1000 m3/m': { factor: KILOWATT_HOUR / 1000 },
      'J/m3/m': { factor: 1 },
    },
  },
  'heating-value': {
    si: 'J/m3',
    units: {
      'Btu/gal': { factor: BTU_IT / US_GALLON },
      'Btu/ft3': { factor: BTU_IT / CUBIC_FOOT },
      'MJ/L': { factor: 1e9 },
      'MJ/m3': { factor: 1e6 },
      'kWh/m3': { factor: KILOWATT_HOUR },
    },
  },
  'fuel-rate': {
    si: 'm3/s',
    units: {
      'gal/h': { factor: US_GALLON / 3600 },
      'L/h': { factor: 0.001 / 3600 },
      '1000 ft3/h': { factor: (1000 * CUBIC_FOOT) / 3600 },
      'm3/h': { factor: 1 / 3600 },
      'm3/s': { factor: 1 },
    },
  },
  'fuel-per-water': {
    si: '1',
    units: {
      'gal/acre-ft': { factor: US_GALLON / ACRE_FOOT },
      'L/1000 m3': { factor: 1e-6 },
      '1000 ft3/acre-ft': { factor: (1000 * CUBIC_FOOT) / ACRE_FOOT },
      'm3/1000 m3': { factor: 0.001 },
      '1': { factor: 1 },
    },
  },
  'work-per-fuel': {
    si: 'J/m3',
    units: {
      'hp-h/gal': { factor: (HORSEPOWER * 3600) / US_GALLON },
      'kWh/L': { factor: KILOWATT_HOUR * 1000 },
      'hp-h/1000 ft3': { factor: (HORSEPOWER * 3600) / (1000 * CUBIC_FOOT) },
      'kWh/m3': { factor: KILOWATT_HOUR },
      'J/m3': { factor: 1 },
    },
  },
  'level-rate': {
    si: 'm/s',
    units: { 'ft/h': { factor: FOOT / 3600 }, 'm/h': { factor: 1 / 3600 }, 'm/s': { factor: 1 } },
  },
  'thermal-expansion': { si: '1/K', units: { '1/K': { factor: 1 } } },
  'work-per-energy': {
    si: '1',
    units: { 'hp-h/kWh': { factor: (HORSEPOWER * 3600) / KILOWATT_HOUR }, '1': { factor: 1 } },
  },
} as const satisfies Record<string, { si: string; units: Record<string, UnitDeclaration> }>

export type Dimension = keyof typeof dimensions
type UnitsOf<D extends Dimension> = keyof (typeof dimensions)[D]['units'] & string
type UcumOf<D extends Dimension> = Extract<
  (typeof dimensions)[D]['units'][keyof (typeof dimensions)[D]['units']],
  { readonly ucum: string }
>['ucum']
/** Every spelling of a unit of the dimension that a sheet may use. */
export type UnitSpelling<D extends Dimension> = UnitsOf<D> | UcumOf<D>
/** Any unit symbol of any dimension. */
export type UnitSymbol = { [D in Dimension]: UnitsOf<D> }[Dimension]

/** A number with its unit, as read or as shown. */
export interface Measured {
  readonly value: number
  readonly unit: string
}

/** Thrown when a unit is unknown or of another dimension; names what is accepted. */
export class UnitError extends Error {
  readonly unit: string
  readonly allowed: readonly string[]
  constructor(unit: string, dimension: Dimension) {
    const allowed = unitsOf(dimension)
    super(`'${unit}' is not a unit of ${dimension} here; accepted are ${allowed.join(', ')}.`)
    this.name = 'UnitError'
    this.unit = unit
    this.allowed = allowed
  }
}

const declarations = new Map<Dimension, Map<string, UnitDeclaration>>()
for (const [dimension, { units }] of Object.entries(dimensions)) {
  const bySymbol = new Map<string, UnitDeclaration>()
  for (const [symbol, declaration] of Object.entries(units) as [string, UnitDeclaration][]) {
    bySymbol.set(symbol, declaration)
    if (declaration.ucum !== undefined) bySymbol.set(declaration.ucum, declaration)
  }
  declarations.set(dimension as Dimension, bySymbol)
}

/** Unit symbols of a dimension, as the trade writes them. */
export function unitsOf(dimension: Dimension): string[] {
  return Object.keys(dimensions[dimension].units)
}

/** Every spelling a sheet may use for a unit of the dimension: trade symbols first, then UCUM codes. */
export function acceptedUnits<D extends Dimension>(dimension: D): UnitSpelling<D>[] {
  return [...declarations.get(dimension)!.keys()] as UnitSpelling<D>[]
}

/** All dimensions with their SI unit and units: the unit table as data. */
export function unitTable(): {
  dimension: Dimension
  si: string
  units: { symbol: string; factor: number; offset?: number; ucum?: string }[]
}[] {
  return Object.entries(dimensions).map(([dimension, { si, units }]) => ({
    dimension: dimension as Dimension,
    si,
    units: (Object.entries(units) as [string, UnitDeclaration][]).map(([symbol, d]) => ({ symbol, ...d })),
  }))
}

/** The SI unit in which the calculation holds a dimension. Temperature is held in degrees Celsius. */
export function siUnit(dimension: Dimension): string {
  return dimensions[dimension].si
}

/** True if a spelling means a unit of the dimension. */
export const isUnitOf = (unit: string, dimension: Dimension): boolean => declarations.get(dimension)!.has(unit)

function declarationOf(unit: string, dimension: Dimension): UnitDeclaration {
  const declaration = declarations.get(dimension)!.get(unit)
  if (declaration === undefined) throw new UnitError(unit, dimension)
  return declaration
}

/** Value of a reading in the SI unit of its dimension. Throws {@link UnitError} for a unit of another dimension. */
export function toSi(reading: Measured, dimension: Dimension): number {
  const { factor, offset } = declarationOf(reading.unit, dimension)
  return offset === undefined ? reading.value * factor : (reading.value + offset) * factor
}

/** SI value expressed in a unit of the dimension. Throws {@link UnitError} for a unit of another dimension. */
export function fromSi(value: number, unit: string, dimension: Dimension): number {
  const { factor, offset } = declarationOf(unit, dimension)
  return offset === undefined ? value / factor : value / factor - offset
}

/** Conversion of one dimension to SI, with its units at hand: for readings converted by the thousand. */
export function siConverter(dimension: Dimension): (reading: Measured) => number {
  const bySymbol = declarations.get(dimension)!
  // Readings of one kind mostly come in one unit: the last one is at hand.
  let [unit, declaration] = bySymbol.entries().next().value!
  return (reading) => {
    if (reading.unit !== unit) {
      declaration = declarationOf(reading.unit, dimension)
      unit = reading.unit
    }
    const { factor, offset } = declaration
    return offset === undefined ? reading.value * factor : (reading.value + offset) * factor
  }
}

/** Size of one unit in SI, for differences and uncertainties: an offset does not matter to them. */
export function unitSize(unit: string, dimension: Dimension): number {
  return declarationOf(unit, dimension).factor
}
