/** Levels by pressure and sound, vapour pressure and viscosity of water, friction of pipes, suction head. */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const handbook = lookedUp(
  'CRC Press',
  'Handbook of Chemistry and Physics, 1992-93',
  'vapour pressure of water, as reprinted',
  'https://lcm91.tripod.com/documents/vp_H2O.htm',
  1992,
)
const university = lookedUp(
  'London South Bank University',
  'Water structure and science, data page',
  'table by temperature, vapour pressure',
  'http://www1.lsbu.ac.uk/water/data1.html',
)
const release = lookedUp(
  'IAPWS',
  'SR6-08 supplementary release, liquid water at 0.1 MPa',
  'check values at 260 K and 298.15 K',
  'public source text quoting the release',
  2011,
)
const viscosityTable = lookedUp(
  'IAPWS',
  'R12-08, viscosity of ordinary water substance',
  'value at 293.15 K and 0.1 MPa',
  'public source text quoting the value',
  2008,
)
const smoothWall = lookedUp(
  'textbooks of fluid mechanics',
  'friction factors of smooth pipes (Prandtl; Colebrook and White)',
  'smooth-wall table',
  'public page of a textbook’s solution',
  1939,
)
const remembered = (publisher: string, document: string, place: string, year: number): Source => ({
  publication: { publisher, document, place, year },
  basis: 'from memory',
})
const steamTable = remembered('IAPWS', 'R7-97(2012)', 'table 35, saturation pressures', 2012)
const derived = (document: string, place: string): Source => ({
  publication: { publisher: 'worked by hand', document, place },
  basis: 'derived',
})
const manual = lookedUp(
  'US Department of Defense',
  'MIL-HDBK-1164 (UFC 3-230-02), operation and maintenance of water supply systems',
  'appendix A, static and pumping level by air line',
  'http://buildingcriteria1.tpub.com/ufc_3_230_02/ufc_3_230_020274.htm',
)
const examGuide = lookedUp(
  'public study guide for water operators',
  'Exam study guide: water math question',
  'air line of 80 ft at 10 psi',
  'https://www.tpomag.com/online_exclusives/2016/02/exam_study_guide_water_math_question',
  2016,
)
/** Density at which one psi is 2.31 ft of water, as the trade rounds it. */
const TRADE_DENSITY = si(1, 'psi', 'pressure') / (9.80665 * 2.31 * 0.3048)
const byAirLine = (length: number, psi: number): number =>
  formula('level-from-pressure', {
    length: length * 0.3048,
    pressure: si(psi, 'psi', 'pressure'),
    density: TRADE_DENSITY,
  }) / 0.3048
const column = derived('exact definitions of inch, pound and gallon', 'column of water of 15 °C')
const hydraulics = derived('general hydraulics', 'worked with a calculator')
const statistics = derived('general statistics', 'least squares of four points')

const vapour = (celsius: number): number => formula('vapour-pressure', { temperature: celsius }) / 1000
const dynamic = (kelvin: number): number =>
  formula('kinematic-viscosity', { temperature: kelvin - 273.15, density: 1 }) * 1e6

const VAPOUR: readonly (readonly [celsius: number, kilopascals: number, within: number, source: Source])[] = [
  [5, 0.8726, 0.0007, handbook],
  [15, 1.7056, 0.0014, handbook],
  [25, 3.169, 0.0026, handbook],
  [40, 7.3814, 0.006, handbook],
  [60, 19.932, 0.016, handbook],
  [10, 1.228, 0.0006, university],
  [20, 2.339, 0.0006, university],
  [30, 4.247, 0.0006, university],
  [80, 47.415, 0.0006, university],
  [26.85, 3.53658941, 5e-9, steamTable],
]
const FRICTION: readonly (readonly [reynolds: number, f: number])[] = [
  [4e3, 0.0399],
  [1e4, 0.0309],
  [1e5, 0.018],
  [1e6, 0.0116],
  [1e7, 0.0081],
  [1e8, 0.0059],
]

const rows: readonly Row[] = [
  ...VAPOUR.map(
    ([celsius, printed, within, source]): Row => [
      `vapour-${celsius}`,
      `vapour pressure at ${celsius} °C`,
      source,
      printed,
      'kPa',
      within,
      () => vapour(celsius),
    ],
  ),
  ['viscosity-260', 'dynamic viscosity at 260 K', release, 3058.36075, 'µPa·s', 1e-5, () => dynamic(260)],
  ['viscosity-298', 'dynamic viscosity at 298.15 K', release, 889.996774, 'µPa·s', 1e-6, () => dynamic(298.15)],
  ['viscosity-293', 'dynamic viscosity at 20 °C', viscosityTable, 1001.6, 'µPa·s', 0.05, () => dynamic(293.15)],
  ...FRICTION.map(
    ([reynolds, printed]): Row => [
      `friction-smooth-${reynolds}`,
      `friction factor of a smooth pipe at Re ${reynolds}`,
      smoothWall,
      printed,
      '1',
      5e-5,
      () => formula('friction-factor', { reynolds, roughness: 0 }),
    ],
  ),
  [
    'friction-laminar',
    'friction factor at Re 1000',
    derived('Hagen and Poiseuille', 'f = 64/Re'),
    0.064,
    '1',
    1e-12,
    () => formula('friction-factor', { reynolds: 1000, roughness: 0.01 }),
  ],
  [
    'friction-rough',
    'friction factor at Re 100,000 and a roughness of 0.001',
    remembered(
      'American Society of Civil Engineers',
      'Swamee and Jain, J. Hydraulics Div. 102',
      'explicit formula',
      1976,
    ),
    0.02234,
    '1',
    0.0003,
    () => formula('friction-factor', { reynolds: 1e5, roughness: 0.001 }),
    'the explicit formula keeps within about one percent of Colebrook’s',
  ],
  [
    'reynolds-1',
    'Reynolds number of 2 m/s in 0.2 m',
    hydraulics,
    400_000,
    '1',
    0.5,
    () => formula('reynolds-number', { velocity: 2, diameter: 0.2, viscosity: 1e-6 }),
  ],
  [
    'pipe-friction-1',
    'friction in 100 m of 0.2 m at 2 m/s, f 0.02',
    hydraulics,
    2.0394,
    'm',
    0.0001,
    () => formula('pipe-friction', { factor: 0.02, length: 100, diameter: 0.2, velocity: 2 }),
  ],
  ['air-line-3', 'standing level, line of 150 ft at 25 psi', manual, 92.3, 'ft', 0.06, () => byAirLine(150, 25)],
  ['air-line-4', 'pumping level, line of 150 ft at 18 psi', manual, 108.4, 'ft', 0.06, () => byAirLine(150, 18)],
  ['air-line-5', 'level, line of 80 ft at 10 psi', examGuide, 56.9, 'ft', 0.05, () => byAirLine(80, 10)],
  [
    'air-line-6',
    'pressure at the end of a line of 100 m with air of 2 kg/m³',
    hydraulics,
    201_961.33,
    'Pa',
    0.005,
    () => formula('air-line-end-pressure', { pressure: 200_000, airDensity: 2, length: 100 }),
  ],
  [
    'recovery-1',
    'a fall of 20 m of which 18 have come back',
    hydraulics,
    0.9,
    '1',
    1e-12,
    () => formula('recovery', { pumpingLevel: 50, levelAfterStop: 32, standingLevel: 30 }),
  ],
  [
    'annulus-1',
    'area between 0.2 and 0.1 m',
    hydraulics,
    0.023562,
    'm2',
    1e-6,
    () => formula('annulus-area', { column: 0.2, tube: 0.1 }),
  ],
  [
    'hydraulic-1',
    'hydraulic diameter between 0.2 and 0.06 m',
    hydraulics,
    0.14,
    'm',
    1e-9,
    () => formula('hydraulic-diameter', { column: 0.2, tube: 0.06 }),
  ],
  [
    'bowl-head-1',
    'head of the bowls, 70 m and 1.3 m of friction',
    hydraulics,
    71.3,
    'm',
    1e-9,
    () => formula('bowl-head', { totalHead: 70, friction: 1.3 }),
  ],
  [
    'air-line-1',
    'level by an air line of 100 ft at 20 psi and 15 °C',
    column,
    53.8251,
    'ft',
    0.0005,
    () =>
      convert(
        formula('level-from-pressure', {
          length: si(100, 'ft', 'length'),
          pressure: si(20, 'psi', 'pressure'),
          density: formula('water-density', { temperature: 15 }),
        }),
        'm',
        'length',
        'ft',
      ),
  ],
  [
    'air-line-2',
    'mean of 27.2, 27.1 and 27.0 psi',
    column,
    27.1,
    'psi',
    1e-9,
    () =>
      convert(
        formula('mean-pressure', { pressures: [27.2, 27.1, 27].map((each) => si(each, 'psi', 'pressure')) }),
        'Pa',
        'pressure',
        'psi',
      ),
  ],
  [
    'acoustic-1',
    'level of 100 ft shown at 15 °C in a casing of 25 °C',
    derived('ideal gas', 'root of 298.15 over 288.15'),
    101.72,
    'ft',
    0.0005,
    () =>
      convert(formula('acoustic-level', { shown: si(100, 'ft', 'length'), casing: 25, set: 15 }), 'm', 'length', 'ft'),
  ],
  [
    'oil-1',
    'water under 2 ft of oil of 0.88 met at 120 ft',
    hydraulics,
    118.24,
    'ft',
    1e-9,
    () => formula('oil-interface-level', { reached: 120, thickness: 2, relativeDensity: 0.88 }),
  ],
  [
    'oil-2',
    'the same from the top of the oil at 118 ft',
    hydraulics,
    118.24,
    'ft',
    1e-9,
    () => formula('oil-top-level', { reached: 118, thickness: 2, relativeDensity: 0.88 }),
  ],
  [
    'level-slope-1',
    'slope through 0, 1, 3, 4 at 0, 1, 2, 3',
    statistics,
    1.4,
    'm/s',
    1e-12,
    () => formula('level-slope', { times: [0, 1, 2, 3], levels: [0, 1, 3, 4] }),
  ],
  [
    'submergence-1',
    'bowls at 210 ft, level at 128.6 ft',
    hydraulics,
    81.4,
    'ft',
    1e-9,
    () => formula('submergence', { bowlDepth: 210, pumpingLevel: 128.6 }),
  ],
  [
    'impeller-1',
    'head at an eye 0.4 m up, suction head −3 m, velocity head 0.2 m',
    hydraulics,
    -3.2,
    'm',
    1e-9,
    () => formula('head-at-impeller', { suctionHead: -3, velocityHead: 0.2, impellerHeight: 0.4 }),
  ],
  [
    'npsh-1',
    'suction head available, flooded 2.5 m, sea level, 20 °C',
    derived('exact definitions', 'worked with a calculator'),
    12.6119,
    'm',
    0.0005,
    () =>
      formula('npsh-available', {
        barometricPressure: 101_325,
        vapourPressure: formula('vapour-pressure', { temperature: 20 }),
        density: formula('water-density', { temperature: 20 }),
        head: 2.5,
      }),
  ],
]

export const levelChecks: readonly Check[] = rowsToChecks(rows)
