/** Constants of head, power and energy, each through the product's formulas. */
import { type Check, convert, formula, lookedUp, POUND, type Source, si } from './check.ts'

const derived = (publisher: string, document: string, place: string): Source => ({
  publication: { publisher, document, place },
  basis: 'derived',
})
const exact = derived('NIST', 'Handbook 44 and Special Publication 811, definitions', 'exact factors at 1000 kg/m³')
const diskConstant = derived('general science', 'definition of a meter’s disk constant', 'power from revolutions')
const energy = derived('general science', 'work of raising water', 'at 1000 kg/m³ and standard gravity')
const bernoulli = derived('general science', 'Bernoulli’s equation', 'velocity head of a column')
const utah = lookedUp(
  'Utah State University',
  'lecture notes, Sprinkle and Trickle Irrigation Lectures, lecture 11',
  'eq. 222-223, p. 123',
  'https://www.coursehero.com/file/6827488/1-10/',
)
const frictionPage = lookedUp(
  'public hydraulics page',
  'pipe friction loss reference',
  'velocity',
  'https://fire.ezvirtualtools.com/calc/pipe-friction-loss.html',
)
const tulare = lookedUp(
  'University of California Cooperative Extension, Tulare County',
  'Pub. IG6-96, Energy and Cost Required to Lift or Pressurize Water',
  'power requirements to lift water',
  'https://studylib.net/doc/18115554/energy-and-cost-required-to-lift-or-pressurize-water',
  1996,
)
const seaLevel = lookedUp(
  'public engineering reference',
  'Standard sea-level conditions',
  'table of standard sea-level properties, after the standard atmosphere',
  'https://www.engineerlaboratory.com/tables/standard-sea-level-conditions',
)
const georgia = derived(
  'University of Georgia Extension',
  'Irrigation Pumping Plant Performance',
  'table 1: 0.885 water horsepower-hours per kilowatt-hour, as a ratio',
)

const WATER = 1000
const length = (feet: number): number => si(feet, 'ft', 'length')
export const hp = (watts: number): number => convert(watts, 'W', 'power', 'hp')

/** gpm × ft for a horsepower of water, at a density in kg/m³. */
export const constantOfWaterHorsepower = (density: number): number =>
  1 / hp(formula('water-power', { density, flow: si(1, 'gpm', 'flow'), head: length(1) }))

/** Watts of a timing: Kh in Wh, revolutions, seconds, multiplier. */
export const diskPower = (kh: number, revolutions: number, seconds: number, multiplier: number): number =>
  formula('disk-power', {
    constant: si(kh, 'Wh/rev', 'energy-per-revolution'),
    revolutions,
    multiplier,
    elapsed: seconds,
  })

/** Energy of a volume and a head if nothing were lost, at a density in kg/m³. */
export const leastEnergy = (density: number, unit: string): number =>
  convert(formula('least-energy-per-volume-and-head', { density }), 'J/m3/m', 'energy-per-volume-and-head', unit)

const velocityIn = (flow: number, inches: number): number =>
  convert(
    formula('pipe-velocity', {
      flow: si(flow, 'gpm', 'flow'),
      area: formula('pipe-area', { diameter: si(inches, 'in', 'length') }),
    }),
    'm/s',
    'velocity',
    'ft/s',
  )

const pitotFeetPerSecond = (inches: number, factor: number): number =>
  convert(
    formula('pitot-velocity', { coefficient: 1, column: si(inches, 'in', 'length'), factor }),
    'm/s',
    'velocity',
    'ft/s',
  )

const check = (
  id: string,
  what: string,
  source: Source,
  printed: number,
  unit: string,
  within: number,
  computed: () => number,
  note?: string,
): Check => ({ id, what, source, printed, unit, within, computed, ...(note === undefined ? {} : { note }) })

const FOOT_POUNDS_PER_KWH = convert(1, 'kWh', 'energy', 'hp-h') * 550 * 3600

export const hydraulicChecks: readonly Check[] = [
  check('head-001', 'head of 1 psi at 1000 kg/m³', exact, 2.30666, 'ft', 5e-6, () =>
    convert(formula('pressure-head', { pressure: si(1, 'psi', 'pressure'), density: WATER }), 'm', 'length', 'ft'),
  ),
  check('head-003', 'velocity head at 10 ft/s', exact, 1.554, 'ft', 5e-4, () =>
    convert(formula('velocity-head', { velocity: si(10, 'ft/s', 'velocity') }), 'm', 'length', 'ft'),
  ),
  check('head-004', 'mean velocity of 1000 gpm in 10 in', exact, 4.085, 'ft/s', 5e-5, () => velocityIn(1000, 10)),
  check('head-011', 'velocity in ft/s of 1 gpm in 1 in', frictionPage, 0.4085, 'ft/s', 5e-5, () => velocityIn(1, 1)),
  check('traverse-040', 'velocity of 1 in of water, air over water', bernoulli, 2.3157, 'ft/s', 5e-5, () =>
    pitotFeetPerSecond(1, formula('manometer-factor-air', { airDensity: 0, density: WATER })),
  ),
  check('traverse-041', 'velocity of 4 in, liquid of 2.95 under water', bernoulli, 6.4673, 'ft/s', 5e-5, () =>
    pitotFeetPerSecond(4, formula('manometer-factor-fluid', { relativeDensity: 2.95 })),
  ),
  check(
    'traverse-042',
    'flow of 1 ft/s in 1 in',
    derived('general science', 'flow is velocity times area', 'circle'),
    2.448,
    'gpm',
    5e-4,
    () =>
      convert(
        formula('flow-in-pipe', {
          velocity: si(1, 'ft/s', 'velocity'),
          area: formula('pipe-area', { diameter: si(1, 'in', 'length') }),
        }),
        'm3/s',
        'flow',
        'gpm',
      ),
  ),
  check('manometer-air', 'density of air at 15 °C and one atmosphere', seaLevel, 1.225, 'kg/m3', 5e-4, () =>
    formula('manometer-air-density', { pressure: 0 }),
  ),
  check(
    'power-001',
    'Kh 14.4 Wh, 10 revolutions in 30.2 s',
    diskConstant,
    17.1656,
    'kW',
    5e-5,
    () => diskPower(14.4, 10, 30.2, 1) / 1000,
  ),
  check(
    'power-002',
    'Kh 7.2 Wh, 5 revolutions in 22.6 s, multiplier 40',
    diskConstant,
    229.381,
    'kW',
    5e-4,
    () => diskPower(7.2, 5, 22.6, 40) / 1000,
  ),
  check('power-003', 'horsepower of 1 Wh a second', diskConstant, 4.8277, 'hp', 5e-5, () => hp(diskPower(1, 1, 1, 1))),
  check(
    'results-001',
    'gpm × ft for a horsepower, water of 62.4 lb/ft³',
    utah,
    3956,
    'gpm ft/hp',
    0.5,
    () => constantOfWaterHorsepower((62.4 * POUND) / si(1, 'ft3', 'volume')),
    'printed with 7.481 gal/ft³',
  ),
  check('results-003', 'gpm × ft for a horsepower at 1000 kg/m³', exact, 3954.27, 'gpm ft/hp', 5e-3, () =>
    constantOfWaterHorsepower(WATER),
  ),
  check('results-004', 'least energy of an acre-foot and a foot', energy, 1.02416, 'kWh/acre-ft/ft', 5e-6, () =>
    leastEnergy(WATER, 'kWh/acre-ft/ft'),
  ),
  check('results-006', 'least energy of 1000 m³ and a metre', energy, 2.72407, 'kWh/1000 m3/m', 5e-6, () =>
    leastEnergy(WATER, 'kWh/1000 m3/m'),
  ),
  check('results-007', 'energy per acre-foot of 1 kW and 1 gpm', exact, 5430.857, 'kWh/acre-ft', 5e-4, () =>
    convert(
      formula('energy-per-volume', { inputPower: si(1, 'kW', 'power'), flow: si(1, 'gpm', 'flow') }),
      'J/m3',
      'energy-per-volume',
      'kWh/acre-ft',
    ),
  ),
  check(
    'results-008',
    'energy per acre-foot at 200 ft and an efficiency of 0.75',
    energy,
    273.108,
    'kWh/acre-ft',
    5e-4,
    () => {
      const flow = si(1000, 'gpm', 'flow')
      const waterPower = formula('water-power', { density: WATER, flow, head: length(200) })
      const inputPower = waterPower / 0.75
      if (Math.abs(formula('overall-plant-efficiency', { waterPower, inputPower }) - 0.75) > 1e-15) return Number.NaN
      return convert(formula('energy-per-volume', { inputPower, flow }), 'J/m3', 'energy-per-volume', 'kWh/acre-ft')
    },
  ),
  check('results-013', '0.885 hp-h of water per kWh, as efficiency', georgia, 0.66, '1', 5e-4, () =>
    convert(0.885, 'hp-h/kWh', 'work-per-energy', '1'),
  ),
  check(
    'results-016',
    'foot-pounds to raise an acre-foot by a foot, water of 8.345 lb/gal',
    tulare,
    2719226,
    'ft lbf',
    0.5 * 8.345,
    () => leastEnergy((8.345 * POUND) / si(1, 'gal', 'volume'), 'kWh/acre-ft/ft') * FOOT_POUNDS_PER_KWH,
    'printed as 325,851 whole gallons times 8.345: half a gallon may be lost',
  ),
]
