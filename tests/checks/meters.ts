/** Power by pulses and by volts and amperes, unbalance, load of a motor, and flow by a register. */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const threePhasePage = lookedUp(
  'public engineering reference',
  'Three-Phase Power Equations',
  'example, pure resistive load',
  'https://www.engineeringtoolbox.com/three-phase-electrical-d_888.html',
)
const coursework = lookedUp(
  'public course notes',
  'efficiency of a three-phase induction motor',
  'example of a 40 kW motor',
  'https://es.slideshare.net/taliacarbis/918',
)
const singlePhasePage = lookedUp(
  'public engineering reference',
  'Single Phase Examples',
  'step 1',
  'https://www.electoolshq.com/single-phase-examples',
)
const nemaExample = lookedUp(
  'public engineers’ forum',
  'definition of NEMA MG 1 as quoted with its example',
  'example of 462, 463 and 455 V',
  'https://www.eng-tips.com/threads/sequence-angles-imbalance.481112/post-8667161',
)
const nemaSecond = lookedUp(
  'electrical workshop’s page',
  'Voltage Imbalance, after NEMA MG 1',
  'example of 460, 467 and 450 V',
  'https://xcela.ca/voltage-imbalance/',
)
const pumpMaker = lookedUp(
  'service manual of a maker of submersible pumps',
  'Three Phase Unbalance',
  'example of three hookups',
  'https://www.manualsdir.com/manuals/310401/xylem-gsservice-r2-service-manual-submersible-pumps-jet-pumps.html?page=91',
)
const analyserMaker = lookedUp(
  'applications guide of a maker of power analysers',
  'Motor Loads, induction motors',
  'example of current imbalance',
  'https://www.easymanua.ls/fluke/43b/manual/118124?p=45',
)
const motorPage = lookedUp(
  'public engineering reference',
  'Motor/Equipment Efficiency',
  'worked example, 746 W for a horsepower',
  'https://www.electrakit.com/formulas/efficiency-formula',
)
const blinkingPage = lookedUp(
  'public reference page',
  'Flashing LED on Electricity Meter',
  'meter of 1000 imp/kWh',
  'http://www.reuk.co.uk/Flashing-LED-on-Electricity-Meter.htm',
)
const blinkingTable = lookedUp(
  'public reference page',
  'Converting 1000 imp/kWh to watts',
  'table of periods, and the form for 800 imp/kWh',
  'https://ssb22.user.srcf.net/elec/imp.html',
)
const pulseWeight = lookedUp(
  'help of a maker of power meters',
  'Calculating the pulse weight',
  'example of 1600 kW and two pulses a second',
  'https://product-help.schneider-electric.com/PowerLogic/Engineering-Suite-ION/06-energy-pulsing/06a-digital-outputs/calculating-the-pulse-weight.htm',
)
const irrigationCompany = lookedUp(
  'irrigation company',
  'Water Measurement',
  'multipliers of totalizers, and units',
  'https://mvic.info/water-measurement',
)
const usu = lookedUp(
  'Utah State University Extension',
  'Accurate Irrigation Water Flow Measurement in Pipes',
  'flow measurement principles, example',
  'https://extension.usu.edu/irrigation/research/accurate-irrigation-water-flow-pipes',
)
const pumpHydraulics = lookedUp(
  'public page of a water treatment handbook',
  'Static Discharge Head',
  'example 10.4, static suction lift',
  'https://www.climate-policy-watcher.org/wastewater-treatment-3/static-discharge-head.html',
)
const powerEquation: Source = {
  publication: {
    publisher: 'general electrical engineering',
    document: 'power of a three-phase supply',
    place: '√3 U I pf',
  },
  basis: 'derived',
}

const threePhase = (voltage: number, current: number, powerFactor: number): number =>
  formula('three-phase-power', { voltage, current, powerFactor }) / 1000
const blink = (constant: number, pulses: number, elapsed: number): number =>
  formula('blink-power', { constant: si(constant, 'imp/kWh', 'pulses-per-energy'), pulses, multiplier: 1, elapsed }) /
  1000
const volts = (...voltages: number[]): number => formula('voltage-unbalance', { voltages }) * 100
const amperes = (...currents: number[]): number => formula('current-unbalance', { currents }) * 100

/** Volume of a register that is read once as it stands, in the unit of the register. */
const register = (value: number, unit: string, multiplier: number): number =>
  convert(
    formula('totaliser-volume', { start: 0, end: si(value, unit, 'volume'), rollover: 0, multiplier }),
    'm3',
    'volume',
    unit,
  )

const rows: readonly Row[] = [
  [
    'power-004',
    'three phases, 460 V, 100 A, power factor 0.85',
    powerEquation,
    67.724,
    'kW',
    5e-3,
    () => threePhase(460, 100, 0.85),
    'the fifth digit is that of a rounded root of three',
  ],
  [
    'power-011',
    'three phases, 400 V, 20 A, no reactive load',
    threePhasePage,
    13.856,
    'kW',
    5e-4,
    () => threePhase(400, 20, 1),
  ],
  [
    'power-012',
    'three phases, 415 V, 70 A, power factor 0.88',
    coursework,
    44.278,
    'kW',
    5e-4,
    () => threePhase(415, 70, 0.88),
  ],
  [
    'power-013',
    'single phase, 120 V, 10 A, power factor 0.9',
    singlePhasePage,
    1080,
    'W',
    0.5,
    () => formula('single-phase-power', { voltage: 120, current: 10, powerFactor: 0.9 }),
  ],
  ['power-005', '1000 imp/kWh, 50 blinks in 30 s', powerEquation, 6, 'kW', 1e-9, () => blink(1000, 50, 30)],
  ['power-014', '1000 imp/kWh, a blink every 3.6 s', blinkingPage, 1, 'kW', 1e-9, () => blink(1000, 1, 3.6)],
  ['power-015', '1000 imp/kWh, a blink every 1.2 s', blinkingPage, 3, 'kW', 1e-9, () => blink(1000, 1, 1.2)],
  ['power-016', '1000 imp/kWh, a blink every 8 s', blinkingTable, 0.45, 'kW', 5e-4, () => blink(1000, 1, 8)],
  ['power-017', '800 imp/kWh, a blink every second', blinkingTable, 4.5, 'kW', 5e-4, () => blink(800, 1, 1)],
  [
    'power-018',
    '0.222 kWh a pulse, two pulses a second',
    pulseWeight,
    1600,
    'kW',
    4,
    () =>
      formula('pulse-power', {
        energy: si(0.222, 'kWh/pulse', 'energy-per-pulse'),
        pulses: 2,
        multiplier: 1,
        elapsed: 1,
      }) / 1000,
    'the pulse weight is printed to three digits',
  ],
  ['unbalance-1', 'voltages 462, 463 and 455 V', nemaExample, 1.1, '%', 0.05, () => volts(462, 463, 455)],
  ['unbalance-2', 'voltages 460, 467 and 450 V', nemaSecond, 1.96, '%', 5e-3, () => volts(460, 467, 450)],
  [
    'unbalance-3',
    'mean of 462, 463 and 455 V',
    nemaExample,
    460,
    'V',
    0.5,
    () => formula('mean-voltage', { voltages: [462, 463, 455] }),
  ],
  ['unbalance-4', 'currents 51, 46 and 53 A', pumpMaker, 8, '%', 0.5, () => amperes(51, 46, 53)],
  ['unbalance-5', 'currents 50, 48 and 52 A', pumpMaker, 4, '%', 0.5, () => amperes(50, 48, 52)],
  ['unbalance-6', 'currents 33, 29 and 34 A', analyserMaker, 9.4, '%', 0.05, () => amperes(33, 29, 34)],
  [
    'unbalance-7',
    'mean of 33, 29 and 34 A',
    analyserMaker,
    32,
    'A',
    0.5,
    () => formula('mean-current', { currents: [33, 29, 34] }),
  ],
  [
    'motor-load-1',
    'motor of 50 hp, 93 %, that takes 40.108 kW: full load',
    motorPage,
    100,
    '%',
    0.05,
    () => formula('motor-load', { motorPower: 40_108, motorEfficiency: 0.93, ratedPower: si(50, 'hp', 'power') }) * 100,
    'the page counts 746 W for a horsepower',
  ],
  [
    'register-1',
    'register 92545 in hundreds of gallons',
    irrigationCompany,
    9_254_500,
    'gal',
    0.5,
    () => register(92_545, 'gal', 100),
  ],
  [
    'register-2',
    'register 92545 in thousandths of an acre-foot',
    irrigationCompany,
    92.545,
    'acre-ft',
    5e-4,
    () => register(92_545, 'acre-ft', 0.001),
  ],
  [
    'register-3',
    'flow of 1.9835 acre-ft in 24 hours',
    irrigationCompany,
    1,
    'cfs',
    5e-5,
    () =>
      convert(
        formula('totaliser-flow', { volume: si(1.9835, 'acre-ft', 'volume'), elapsed: 86_400 }),
        'm3/s',
        'flow',
        'cfs',
      ),
  ],
  [
    'velocity-area-1',
    'flow of 4 ft/s in 0.7 square feet',
    usu,
    2.8,
    'cfs',
    0.05,
    () =>
      convert(
        formula('flow-in-pipe', { velocity: si(4, 'ft/s', 'velocity'), area: 0.7 * 0.3048 * 0.3048 }),
        'm3/s',
        'flow',
        'cfs',
      ),
  ],
  [
    'lift-1',
    'pump at 128 ft, water at 121 ft',
    pumpHydraulics,
    7,
    'ft',
    0.5,
    () => convert(formula('lift-from-surface', { suctionHead: si(121 - 128, 'ft', 'length') }), 'm', 'length', 'ft'),
  ],
]

export const meterChecks: readonly Check[] = rowsToChecks(rows)
