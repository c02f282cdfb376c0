/** Fuel at base conditions, wattmeters, registers, and what stands between motor and pump. */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const exam = lookedUp(
  'public page of examination questions',
  'Power by the two wattmeter method',
  '250 kW, and 50 kW after reversal',
  'https://www.electricalexams.co/power-being-measured-two-wattmeter-method/',
)
const problem = lookedUp(
  'public collection of solved problems',
  'Two wattmeters',
  'problem 11081, both read 1000 W',
  'https://www.hackmath.net/en/math-problem/11081',
)
const forum = lookedUp(
  'public engineers’ forum',
  'diesel volumetric temperature differences',
  'example 1, a prover of 100.15 gal at 65 °F, 0.00165 for a degree Fahrenheit',
  'https://eng-tips.com/threads/diesel-volumetric-temperature-differences.97175',
)
const gasPage = lookedUp(
  'public how-to page',
  'How to convert a CCF to a SCF',
  'step 2, 200 cubic feet at 2 psi',
  'https://www.hunker.com/12002693/how-to-convert-a-ccf-to-a-scf-ng',
)
const energyInformation = lookedUp(
  'US Energy Information Administration',
  'Energy conversion calculators',
  'one gallon of diesel fuel',
  'https://www.eia.gov/energyexplained/units-and-calculators/energy-conversion-calculators.php',
  2021,
)
const shafts = lookedUp(
  'Hydraulic Institute',
  'Line shaft mechanical friction table, reprinted in a manual of turbine pumps',
  'section 15, page 45, losses in 100 feet at 1,760 rpm',
  'https://www.scribd.com/document/490399900/LINESHAFT-MECHANICAL-FRICTION-TABLE',
  1985,
)
const extension = lookedUp(
  'University of Georgia Cooperative Extension',
  'Irrigation Pumping Plant Performance',
  'table 1 and the field data below it; worked on from them by hand',
  'https://studylib.net/doc/13064673/irrigation-pumping-plant-performance',
)
const derived = (document: string, place: string): Source => ({
  publication: { publisher: 'worked by hand', document, place },
  basis: 'derived',
})
const energy = derived('general science', 'power is energy over time')
const balance = derived('general science', 'balance of powers between motor and pump')
const ratios = derived('general arithmetic', 'ratio of transformers')

const FRICTION = (0.55 * 745.6998715822702) / (30.48 * 0.0254 * 0.0254 * (1760 / 60))
const lossIn100Feet = (inches: number): number =>
  convert(
    formula('line-shaft-loss', {
      friction: FRICTION,
      speed: 1760 / 60,
      diameter: inches * 0.0254,
      length: 30.48,
    }),
    'W',
    'power',
    'hp',
  )

const galPerHour = (value: number): number => si(value, 'gal/h', 'fuel-rate')

const rows: readonly Row[] = [
  [
    'wattmeters-1',
    'power by two wattmeters of 1000 W',
    problem,
    2000,
    'W',
    0.5,
    () => formula('two-wattmeter-power', { first: 1000, second: 1000 }),
  ],
  [
    'wattmeters-2',
    'power factor of two equal wattmeters',
    problem,
    1,
    '1',
    0.0005,
    () => formula('two-wattmeter-power-factor', { first: 1000, second: 1000 }),
  ],
  [
    'wattmeters-3',
    'power factor of 250 and -50 kW',
    exam,
    0.359,
    '1',
    0.0005,
    () => formula('two-wattmeter-power-factor', { first: 250e3, second: -50e3 }),
  ],
  [
    'fuel-base-1',
    'propane of 65 °F brought to 60 °F',
    forum,
    99.32,
    'gal',
    0.005,
    () =>
      convert(
        formula('liquid-fuel-at-base', {
          volume: si(100.15, 'gal', 'volume'),
          expansion: 0.00165 * 1.8,
          temperature: si(65, 'degF', 'temperature'),
        }),
        'm3',
        'volume',
        'gal',
      ),
  ],
  [
    'gas-base-1',
    'gas of 2 psi brought to the pressure of the air',
    gasPage,
    227.22,
    'ft3',
    0.5,
    () =>
      convert(
        formula('gas-at-base', {
          volume: si(200, 'ft3', 'volume'),
          gaugePressure: si(2, 'psi', 'pressure'),
          barometricPressure: si(14.7, 'psi', 'pressure'),
          temperature: si(60, 'degF', 'temperature'),
        }),
        'm3',
        'volume',
        'ft3',
      ),
    'the page counts at 14.7 psi, the method at 14.73',
  ],
  [
    'fuel-power-1',
    'heat of a gallon of diesel in an hour',
    energyInformation,
    137_381,
    'Btu/h',
    0.5,
    () =>
      convert(
        formula('fuel-power', { rate: galPerHour(1), heatingValue: si(137_381, 'Btu/gal', 'heating-value') }) * 3600,
        'J',
        'energy',
        'Btu',
      ),
  ],
  [
    'fuel-rate-1',
    'fuel rate of 4.0 gal in 1.0 h',
    extension,
    4,
    'gal/h',
    0.05,
    () =>
      convert(formula('fuel-rate', { volume: si(4, 'gal', 'volume'), elapsed: 3600 }), 'm3/s', 'fuel-rate', 'gal/h'),
  ],
  [
    'fuel-work-1',
    'work on the water for a gallon, 600 gpm against 70 ft and 60 psi',
    extension,
    7.9,
    'hp-h/gal',
    0.05,
    () =>
      convert(
        formula('water-work-per-fuel', {
          waterPower: formula('water-power', {
            density: 998,
            flow: si(600, 'gpm', 'flow'),
            head: si(70 + 60 * 2.31, 'ft', 'length'),
          }),
          rate: galPerHour(4),
        }),
        'J/m3',
        'work-per-fuel',
        'hp-h/gal',
      ),
  ],
  [
    'fuel-volume-1',
    'fuel for an acre-foot, 600 gpm with 4.0 gal/h',
    derived('general arithmetic', '325,851 gal ÷ 600 gpm is 9.0514 h'),
    36.206,
    'gal/acre-ft',
    0.0005,
    () =>
      convert(
        formula('fuel-per-volume', { rate: galPerHour(4), flow: si(600, 'gpm', 'flow') }),
        '1',
        'fuel-per-water',
        'gal/acre-ft',
      ),
  ],
  [
    'fuel-cost-1',
    'its cost at 4.10 for a gallon',
    derived('general arithmetic', '36.206 gal at 4.10'),
    148.44,
    'USD/acre-ft',
    0.005,
    () =>
      formula('fuel-cost-per-volume', {
        fuelPerVolume: si(36.206, 'gal/acre-ft', 'fuel-per-water'),
        price: 4.1 / si(1, 'gal', 'volume'),
      }) * si(1, 'acre-ft', 'volume'),
  ],
  [
    'energy-register-1',
    'energy between two readings, multiplier 40',
    derived('general arithmetic', '(3.2 − 1.7) kWh · 40'),
    60,
    'kWh',
    0.0005,
    () =>
      convert(
        formula('register-energy', {
          start: si(1.7, 'kWh', 'energy'),
          end: si(3.2, 'kWh', 'energy'),
          rollover: 0,
          multiplier: 40,
        }),
        'J',
        'energy',
        'kWh',
      ),
  ],
  [
    'energy-register-2',
    'power of 4.5 kWh in half an hour',
    energy,
    9,
    'kW',
    0.0005,
    () => formula('interval-power', { energy: si(4.5, 'kWh', 'energy'), elapsed: 1800 }) / 1000,
  ],
  [
    'transformers-1',
    'power before transformers of 200:5 and 20:1',
    ratios,
    800,
    'kW',
    0.0005,
    () => formula('primary-power', { secondary: 1000, currentRatio: 40, voltageRatio: 20 }) / 1000,
  ],
  ['line-shaft-1', 'loss of 100 ft of a shaft of 1 in', shafts, 0.55, 'hp', 0.005, () => lossIn100Feet(1)],
  [
    'line-shaft-2',
    'loss of 100 ft of a shaft of 1 1/4 in',
    shafts,
    0.84,
    'hp',
    0.03,
    () => lossIn100Feet(1.25),
    'the law of the square of the diameter is fitted to the table',
  ],
  [
    'line-shaft-3',
    'loss of 100 ft of a shaft of 1 1/2 in',
    shafts,
    1.19,
    'hp',
    0.06,
    () => lossIn100Feet(1.5),
    'the law of the square of the diameter is fitted to the table',
  ],
  [
    'motor-output-1',
    'output of a motor of 94.5 % that takes 77.6 kW',
    balance,
    73.332,
    'kW',
    0.0005,
    () => formula('motor-output-power', { motorPower: 77_600, motorEfficiency: 0.945 }) / 1000,
  ],
  [
    'pump-shaft-1',
    'power at the pump behind a gear of 0.95 and a shaft that takes 1.2 kW',
    balance,
    68.465,
    'kW',
    0.0006,
    () => formula('pump-shaft-power', { motorOutput: 73_332, transmissionEfficiency: 0.95, shaftLoss: 1200 }) / 1000,
  ],
  [
    'pump-efficiency-1',
    'efficiency of the pump, 75 % and 5 % drive loss behind the published figures',
    extension,
    0.75,
    '1',
    0.0005,
    () =>
      formula('pump-efficiency', {
        waterPower: 0.75 * 0.95,
        shaftPower: formula('pump-shaft-power', { motorOutput: 1, transmissionEfficiency: 0.95, shaftLoss: 0 }),
      }),
  ],
]

export const driverChecks: readonly Check[] = rowsToChecks(rows)
