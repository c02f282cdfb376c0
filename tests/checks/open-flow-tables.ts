/** Discharge tables and worked examples of weirs, jets, flumes and tanks, each through the product's formulas. */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const shen = lookedUp(
  'US Geological Survey',
  'Water-Supply Paper 1617-B, Discharge Characteristics of Triangular-Notch Thin-Plate Weirs, as coded in a public library',
  'coefficient and correction of the head by angle, after a handbook',
  'https://github.com/CalebBell/fluids/blob/01911628bc8a1d34ef7d63e2c4bb948885c76065/fluids/open_flow.py',
  1981,
)
const kindsvaterCode = lookedUp(
  'American Society of Civil Engineers',
  'Kindsvater and Carter, Discharge Characteristics of Rectangular Thin-Plate Weirs, as coded in a public library',
  'weir over the whole width, example',
  'https://github.com/CalebBell/fluids/blob/01911628bc8a1d34ef7d63e2c4bb948885c76065/fluids/open_flow.py',
  1957,
)
const rehbock = lookedUp(
  'American Society of Civil Engineers',
  'Rehbock’s formula in the discussion of Precise Weir Measurements, as coded in a public library',
  'weir over the whole width, example',
  'https://github.com/CalebBell/fluids/blob/01911628bc8a1d34ef7d63e2c4bb948885c76065/fluids/open_flow.py',
  1929,
)
const spreadsheet = lookedUp(
  'US Bureau of Reclamation',
  'Water Measurement Manual, 3rd ed., as quoted in a public spreadsheet',
  'sharp-crested contracted weir: table of C1 and C2, and example',
  'https://fr.scribd.com/document/363659723/271729338-f99630-calculation-of-flow-rate-for-rectangular-weir-sharp-crested-contracted',
  2001,
)
const francisTable = lookedUp(
  'public reference page',
  'Rectangular Weirs',
  'table of Q = 3.33 (L - 0.2 H) H^1.5, heads by their order, a quarter of an inch apart',
  'https://constructionwork.com/resource/rectangular-weirs',
)
const oregon = lookedUp(
  'Oregon State College, Federal Cooperative Extension Service',
  'Extension Circular 550, Measurement of Flow in Small Streams',
  'table 1, 90-degree notch',
  'https://studylib.net/doc/11050554/p-measurement-of-flow',
  1952,
)
const notch60 = lookedUp(
  'ASTM',
  'D5242-92, Open-Channel Flow Measurement of Water with Thin-Plate Weirs, as quoted in a discharge table',
  '60-degree notch, 647.5 H^2.5 in gpm',
  'https://scribd.com/doc/258880814/60-Degree-v-Notch-Weir-Discharge-Table',
  2001,
)
const newMexico = lookedUp(
  'New Mexico State University, Cooperative Extension Service',
  'Guide A-104, Estimating Water Flow from Pipes',
  'table 1, level pipes that run full, drop of 13 in',
  'http://aces.nmsu.edu/pubs/_a/A104/welcome.html',
)
const vertical = lookedUp(
  'public reference page',
  'Vertical Pipes, Discharge Flow vs. Height of Discharge Flow',
  'example, 4 in and 36 in, coefficient 0.97',
  'https://www.engineeringtoolbox.com/discharge-height-vertical-pipe-d_1529.html',
)
const lecture = lookedUp(
  'Utah State University',
  'lecture notes 6300, lecture 2, Flumes for Open-Channel Flow Measurement',
  'coefficient in the design example, SI',
  'https://studylib.net/doc/10463545/flumes-for-open-channel-flow-measurement--dune',
  2005,
)
const bucket = lookedUp(
  'public reference page',
  'Gallons per Minute from Meter',
  'worked example of a bucket',
  'https://calculatorlib.com/gallons-per-minute-from-meter-calculator',
)
const drums = lookedUp(
  'public reference page',
  'Well Water Flow Rate',
  'table of timed fillings',
  'https://farmergrows.com/well-water-flow-rate-calculator/',
)

const feet = (value: number): number => si(value, 'ft', 'length')
const inches = (value: number): number => si(value, 'in', 'length')
const cfs = (flow: number): number => convert(flow, 'm3/s', 'flow', 'cfs')
const gpm = (flow: number): number => convert(flow, 'm3/s', 'flow', 'gpm')

const notchFlow = (angle: number, head: number): number =>
  formula('v-notch-flow', { angle: si(angle, 'deg', 'angle'), head })
const overWidth = (crestLength: number, crestHeight: number, head: number): number =>
  formula('rectangular-weir-flow', { crestLength, channelWidth: crestLength, crestHeight, head })

/** What multiplies C_e (h + k)^2.5 in the flow over a notch. */
const ofNotch = (angle: number): number => (8 / 15) * Math.sqrt(2 * 9.80665) * Math.tan(si(angle, 'deg', 'angle') / 2)
const coefficientOf = (angle: number): number => notchFlow(angle, 1e6) / (ofNotch(angle) * 1e6 ** 2.5)
/** Correction of the head in mm: at no head, the flow is that of the correction alone. */
const correctionOf = (angle: number): number =>
  1000 * (notchFlow(angle, 0) / (ofNotch(angle) * coefficientOf(angle))) ** (1 / 2.5)

const SHEN: readonly (readonly [angle: number, coefficient: number, correction: number])[] = [
  [40, 0.58, 1.7],
  [60, 0.575, 1.2],
  [80, 0.575, 1],
  [100, 0.58, 1],
]
const READ_OFF = 'the source prints a curve; the table read off it is rounded'
const shenRows: Row[] = SHEN.flatMap(([angle, coefficient, correction]): Row[] => [
  [
    `notch.coefficient-${angle}`,
    `C_e of a notch of ${angle} degrees`,
    shen,
    coefficient,
    '1',
    0.0025,
    () => coefficientOf(angle),
    READ_OFF,
  ],
  [
    `notch.correction-${angle}`,
    `correction of the head of a notch of ${angle} degrees`,
    shen,
    correction,
    'mm',
    0.13,
    () => correctionOf(angle),
    READ_OFF,
  ],
])

const OREGON: readonly (readonly [hundredths: number, printed: number])[] = [
  [29, 51.4],
  [30, 56],
  [31, 60.8],
  [32, 65.8],
  [33, 71.1],
  [34, 76.7],
  [40, 115],
  [41, 122],
  [42, 130],
  [45, 154],
]
const oregonRows: Row[] = OREGON.map(
  ([hundredths, printed]): Row => [
    `notch.oregon-${hundredths}`,
    `90-degree notch, head 0.${hundredths} ft`,
    oregon,
    printed,
    'gpm',
    0.01 * printed,
    () => gpm(notchFlow(90, feet(hundredths / 100))),
    'an older formula, within one percent',
  ],
)

/** C1 and C2 in US units, from a crest so long that the correction of its length vanishes. */
function kindsvaterConstants(share: number): { c1: number; c2: number } {
  const crest = 1e9
  const head = feet(0.5)
  const coefficient = (crestHeight: number) =>
    cfs(formula('rectangular-weir-flow', { crestLength: crest, channelWidth: crest / share, crestHeight, head })) /
    ((crest / 0.3048) * ((head + 0.001) / 0.3048) ** 1.5)
  const c2 = coefficient(1e12)
  return { c1: coefficient(head) - c2, c2 }
}
const KINDSVATER: readonly (readonly [share: number, c1: number, c2: number])[] = [
  [0.2, -0.0087, 3.152],
  [0.4, 0.0317, 3.164],
  [0.6, 0.0995, 3.178],
]
const ROUNDED = 'the coefficients of ISO 1438 are rounded to three digits in SI, the print to four in US units'
const kindsvaterRows: Row[] = KINDSVATER.flatMap(([share, c1, c2]): Row[] => [
  [
    `weir.spreadsheet-c1-${share}`,
    `rectangular weir, crest ${share} of the channel, C1`,
    spreadsheet,
    c1,
    'ft^0.5/s',
    0.0035,
    () => kindsvaterConstants(share).c1,
    ROUNDED,
  ],
  [
    `weir.spreadsheet-c2-${share}`,
    `rectangular weir, crest ${share} of the channel, C2`,
    spreadsheet,
    c2,
    'ft^0.5/s',
    0.0075,
    () => kindsvaterConstants(share).c2,
    ROUNDED,
  ],
])

const FRANCIS: readonly (readonly [length: number, head: number, printed: number])[] = [
  [1, 2, 98.5],
  [3, 2, 302],
  [5, 2, 506],
  [1, 3, 178],
  [3, 3, 552],
  [5, 3, 926],
  [1, 4, 269],
  [1, 6, 477],
  [3, 6, 1535],
]
const francisRows: Row[] = FRANCIS.map(
  ([length, head, printed]): Row => [
    `weir.francis-${length}-ft-${head}-in`,
    `contracted, crest ${length} ft, head ${head} in`,
    francisTable,
    printed,
    'gpm',
    0.003 * printed,
    () => gpm(formula('francis-weir-flow', { crestLength: feet(length), contractions: 2, head: inches(head) })),
    'figures carry up to a quarter of a percent of rounding between their steps',
  ],
)

const JETS: readonly (readonly [size: number, distance: number, printed: number])[] = [
  [2, 12, 38],
  [2, 18, 57],
  [2, 24, 75],
  [2, 36, 113],
  [2.5, 12, 59],
  [2.5, 20, 98],
  [2.5, 28, 137],
  [2.5, 36, 177],
  [3, 12, 85],
  [3, 18, 127],
  [3, 26, 184],
  [3, 36, 255],
  [4, 12, 151],
  [4, 18, 226],
  [4, 26, 327],
  [4, 36, 453],
  [5, 12, 236],
  [5, 18, 354],
]
const jetRows: Row[] = JETS.map(
  ([size, distance, printed]): Row => [
    `jet.new-mexico-${size}-in-${distance}-in`,
    `level pipe of ${size} in, jet ${distance} in out and 13 in down`,
    newMexico,
    printed,
    'gpm',
    0.75,
    () =>
      gpm(
        formula('flow-in-pipe', {
          velocity: formula('jet-velocity', { distance: inches(distance), fall: inches(13), slope: 0 }),
          area: formula('pipe-area', { diameter: inches(size) }),
        }),
      ),
    'the table rounds the area first',
  ],
)

const tankRow = (
  id: string,
  source: Source,
  gallons: number,
  seconds: number,
  printed: number,
  within: number,
): Row => [
  id,
  `${gallons} gal in ${seconds} s`,
  source,
  printed,
  'gpm',
  within,
  () => gpm(formula('tank-flow', { volume: si(gallons, 'gal', 'volume'), elapsed: seconds })),
]

const rows: Row[] = [
  [
    'weir.whole-width',
    'crest 2 m over the whole width, 0.4 m high, head 0.3 m',
    kindsvaterCode,
    0.64156,
    'm3/s',
    0.0001,
    () => overWidth(2, 0.4, 0.3),
    'the code takes 1.0 mm off the crest, the standard 0.9 mm',
  ],
  [
    'weir.rehbock',
    'crest 2 m over the whole width, 0.4 m high, head 0.3 m',
    rehbock,
    0.64869,
    'm3/s',
    0.0075,
    () => overWidth(2, 0.4, 0.3),
    'another formula, within 1.2 percent',
  ],
  [
    'weir.spreadsheet-francis',
    'contracted, crest 2 ft, head 0.45 ft',
    spreadsheet,
    1.92,
    'cfs',
    0.005,
    () => cfs(formula('francis-weir-flow', { crestLength: feet(2), contractions: 2, head: feet(0.45) })),
  ],
  [
    'notch.astm-60',
    '60-degree notch, head 1 ft',
    notch60,
    647.5,
    'gpm',
    3.3,
    () => gpm(notchFlow(60, feet(1))),
    'a formula without correction of the head, within half a percent at a large one',
  ],
  [
    'jet.vertical-example',
    'vertical pipe of 4 in, jet of 36 in',
    vertical,
    529,
    'gpm',
    5.3,
    () => gpm(formula('vertical-jet-flow', { diameter: inches(4), height: inches(36) })),
    'another formula, with a coefficient chosen by the reader, within one percent',
  ],
  [
    'flume.lecture-coefficient',
    'Parshall flume of 0.61 m, flow at 1 m',
    lecture,
    1.429,
    'm3/s',
    0.0005,
    () => formula('parshall-flow', { throat: 0.61, head: 1 }),
  ],
  tankRow('tank.bucket', bucket, 5, 25, 12, 0.0005),
  tankRow('tank.drum-10', drums, 10, 120, 5, 0.0005),
  tankRow('tank.drum-55', drums, 55, 540, 6.1, 0.05),
  tankRow('tank.drum-100', drums, 100, 480, 12.5, 0.0005),
]

export const openFlowTableChecks: readonly Check[] = rowsToChecks([
  ...rows,
  ...shenRows,
  ...oregonRows,
  ...kindsvaterRows,
  ...francisRows,
  ...jetRows,
])
