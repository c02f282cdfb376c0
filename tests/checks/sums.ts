/**
 * Levels, heads, bores and flows that are sums, differences and products of what was read, against worked examples
 * that others printed. Such a formula can hardly be wrong in its number, but it can be in its sign, and in what is
 * added to what.
 */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const waterSupply = (place: string, page: number): Source =>
  lookedUp(
    'US Department of Defense',
    'MIL-HDBK-1164, Operation and Maintenance of Water Supply Systems',
    `appendix A, ${place}`,
    `http://buildingcriteria1.tpub.com/ufc_3_230_02/ufc_3_230_0202${page}.htm`,
  )

const pumpExercise = lookedUp(
  'public page of solved exercises',
  'head of a pump with gauges on both sides',
  'gauges 7.5 cm below and 45 cm above the centreline',
  'https://studen.com/engineering/15222175',
)

const pumpSupplier = lookedUp(
  'pump supplier’s page',
  'what static head means',
  'example of a suction lift of 3 m',
  'http://pedropumps.com/tips-on-how-to-install-water-pumps/this-is-where-the-suction-pipe-connects-to-a-centrifugal-water-pump/what-does-it-mean-when-a-pump-supplier-asks-for-the-static-pump-head',
)

/** No example that prints tape, mark and level was readable: the rule is remembered, the sums were done by hand. */
const tapeRule: Source = {
  publication: {
    publisher: 'US Geological Survey',
    document: 'Groundwater Technical Procedures, GWPD 4, electric tape',
    place: 'depth below land surface: tape at the measuring point less its height above land surface',
    year: 2011,
  },
  basis: 'from memory',
}

const steelPipe = lookedUp(
  'public pipe chart',
  'steel pipe data after ASME/ANSI B36.10 and B36.19',
  'pipe of 4 in, schedules 40 and 80',
  'https://studylib.net/doc/27126263/pipesize-b36.10-19-',
)

const ironPipe = lookedUp(
  'public copy of a building handbook',
  'Building Construction, volume 4',
  'table 5, standard dimensions of wrought-iron pipe',
  'http://chestofbooks.com/architecture/Building-Construction-V4/Materials-Pipes-Part-3.html',
)

const ellipse = lookedUp(
  'public mathematics reference',
  'Area of an Ellipse',
  'worked example, semi-axes 5 and 3',
  'https://www.mathwords.com/a/area_ellipse.htm',
)

const branchedMain = lookedUp(
  'solution of an engineering services examination',
  'a main pipe of 30 cm that branches into two',
  'continuity',
  'https://www.civilexperiences.com/the-diameter-of-a-main-pipe-is-30-cm-and-it-branches-into-two-pipes-civil-upsc-ese-exam-solution-2021/',
  2021,
)

const registration = lookedUp(
  'McGraw-Hill',
  'Water Loss Control',
  'table 12.8, calculation of large water meter error',
  'https://digilib.universitaspertamina.ac.id/ebook/Water%20Loss%20Control/files/basic-html/page213.html',
)

const insertionMeter = lookedUp(
  'manual of a maker of insertion meters',
  'velocity profiles, background',
  'appendix A.1, pipe of 600 mm; profile factor of 5.2',
  'https://manualshive.com/ru/manual/abb/aquaprobe-fea100/120?page=29',
)

const WATER = 1000

const feet = (metres: number): number => convert(metres, 'm', 'length', 'ft')

const metres = (value: number): number => si(value, 'ft', 'length')

const inches = (value: number): number => si(value, 'in', 'length')

const areaOf = (diameter: number): number => formula('pipe-area', { diameter })

/** Bore in inches from the outside diameter and the wall. */
const bore = (outside: number, wall: number): number =>
  convert(
    formula('diameter-from-outside', { outside: inches(outside), wall: inches(wall), lining: 0 }),
    'm',
    'length',
    'in',
  )

/** Head in m of a gauge that shows a pressure in Pa, its centre so many metres above the pump’s. */
const gauge = (pressure: number, gaugeHeight: number): number =>
  formula('gauge-head', { pressureHead: formula('pressure-head', { pressure, density: WATER }), gaugeHeight })

const velocityHead = (flow: number, diameter: number): number =>
  formula('velocity-head', { velocity: formula('pipe-velocity', { flow, area: areaOf(diameter) }) })

/** The pump of the exercise: 20 000 L/min, suction pipe 400 mm, discharge pipe 350 mm. Heads in m. */
function headsOfPump(): { fieldHead: number; velocityHead: number; suctionVelocityHead: number } {
  const flow = 20 / 60
  const fieldHead = formula('booster-field-head', {
    gaugeHead: gauge(75_000, 0.45),
    suctionHead: gauge(si(-127, 'mmHg', 'pressure'), -0.075),
  })
  return {
    fieldHead,
    velocityHead: velocityHead(flow, 0.35),
    suctionVelocityHead: velocityHead(flow, 0.4),
  }
}

/** Level in ft, from tape and mark in ft. */
const sounded = (tape: number, mark: number): number =>
  feet(formula('sounded-level', { tape: metres(tape), measuringPoint: metres(mark) }))

const heads: readonly Row[] = [
  [
    'level.mark-above',
    'tape 52.35 ft, mark 1.80 ft above ground',
    tapeRule,
    50.55,
    'ft',
    0.005,
    () => sounded(52.35, 1.8),
  ],
  [
    'level.mark-below',
    'tape 12.40 ft, mark 0.60 ft below ground',
    tapeRule,
    13,
    'ft',
    0.005,
    () => sounded(12.4, -0.6),
  ],
  [
    'drawdown-1',
    'pumping level 108.4 ft, static level 92.3 ft',
    waterSupply('drawdown calculation', 74),
    16.1,
    'ft',
    0.05,
    () => feet(formula('drawdown', { pumpingLevel: metres(108.4), standingLevel: metres(92.3) })),
  ],
  [
    'lift-2',
    'water 3 m below the pump, discharge 50 m above it',
    pumpSupplier,
    53,
    'm',
    0.5,
    () => formula('lift', { pumpingLevel: 3, dischargeCentre: 50 }),
  ],
  [
    'field-head-1',
    'water 60 ft below the gauge, 35 psi',
    waterSupply('field head calculation', 76),
    141.8,
    'ft',
    0.2,
    () =>
      feet(
        formula('field-head', {
          lift: metres(60 + 0.9),
          gaugeHead: formula('pressure-head', { pressure: si(35, 'psi', 'pressure'), density: WATER }),
        }),
      ),
    'the handbook adds 0.9 ft of friction in the column and counts 2.31 ft for a psi',
  ],
  [
    'booster-head-1',
    'gauges −127 mmHg and 75 kPa, 20 m³/min, pipes 400 and 350 mm',
    pumpExercise,
    10.15,
    'm',
    5e-3,
    () => formula('booster-total-head', headsOfPump()),
  ],
  [
    'total-head-1',
    'the same, the velocity head that is gained as one term',
    pumpExercise,
    10.15,
    'm',
    5e-3,
    () => {
      const { fieldHead, velocityHead, suctionVelocityHead } = headsOfPump()
      return formula('total-dynamic-head', { fieldHead, velocityHead: velocityHead - suctionVelocityHead })
    },
  ],
]

const pipes: readonly Row[] = [
  ['bore-1', 'bore of 4.5 in outside, wall 0.237 in', steelPipe, 4.026, 'in', 5e-4, () => bore(4.5, 0.237)],
  ['bore-2', 'bore of 4.5 in outside, wall 0.337 in', steelPipe, 3.826, 'in', 5e-4, () => bore(4.5, 0.337)],
  ['bore-3', 'bore of 6.625 in outside, wall 0.280 in', ironPipe, 6.065, 'in', 5e-4, () => bore(6.625, 0.28)],
  [
    'ellipse-1',
    'area of a section of 10 cm by 6 cm',
    ellipse,
    47.12,
    'cm2',
    5e-3,
    () => areaOf(formula('mean-diameter', { first: 0.1, second: 0.06 })) * 1e4,
  ],
  [
    'branches-1',
    'velocity in 30 cm before branches of 20 cm at 2 m/s and 15 cm at 6.44 m/s',
    branchedMain,
    2.5,
    'm/s',
    0.05,
    () => formula('flow-at-tap', { metered: 2 * areaOf(0.2), leaving: 6.44 * areaOf(0.15) }) / areaOf(0.3),
  ],
  [
    'meter-error-1',
    'error of a meter that registers 101.0 % of 234.80 million gallons',
    registration,
    -2.32,
    'million gal',
    5e-3,
    () => formula('corrected-rate', { rate: 234.8, factor: 1 / 1.01 }) - 234.8,
    'the correction of a volume and that of a rate are one',
  ],
  [
    'profile-1',
    'mean of 2.00 m/s on the centre line, factor 0.861',
    insertionMeter,
    1.722,
    'm/s',
    5e-4,
    () => formula('profile-velocity', { velocity: 2, factor: 0.861 }),
  ],
  [
    'profile-2',
    'flow of that mean in 600 mm',
    insertionMeter,
    487,
    'L/s',
    0.5,
    () =>
      formula('flow-in-pipe', {
        velocity: formula('profile-velocity', { velocity: 2, factor: 0.861 }),
        area: areaOf(0.6),
      }) * 1000,
  ],
]

export const sumChecks: readonly Check[] = rowsToChecks([...heads, ...pipes])
