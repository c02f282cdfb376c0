/** Weirs, flumes, orifices and jets, each through the product's formulas. */
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const MANUAL = 'Water Measurement Manual, 3rd ed.'
const RECLAMATION = 'US Bureau of Reclamation'
const STORM_WATER =
  'https://github.com/SWMMEnablement/SWMM_MD_Documents/blob/2a8b10b3373731bfa0efff9441bceb3c6d1797d9/EPA_SWMM_VOLUME_II_HYDRAULICS.md'
const PARSHALL_CODE =
  'https://github.com/opendcs/opendcs/blob/59e5067183b45db5c21538fe3909d5b4f1cc7b68/java/opendcs/src/main/java/decodes/hdb/algo/ParshallFlume.java'

const derived = (document: string, place: string): Source => ({
  publication: { publisher: 'general science', document, place },
  basis: 'derived',
})
const notch = lookedUp(
  RECLAMATION,
  MANUAL,
  'ch. 7, 90-degree notch, 2.49 h^2.48',
  'https://scribd.com/doc/238718240/Fully-Contracted',
  2001,
)
const laboratory = lookedUp(
  'San Diego State University',
  'laboratory guide, V-notch weir',
  'C_e and k at 90 degrees',
  'https://ponce.sdsu.edu/protected119/lab05_131025.html',
  2013,
)
const kindsvater = lookedUp(
  RECLAMATION,
  `${MANUAL}, as quoted in the EPA SWMM Reference Manual vol. II`,
  'table 6-2, constants of the Kindsvater-Carter coefficient',
  STORM_WATER,
  2017,
)
const cipolletti = lookedUp(
  RECLAMATION,
  MANUAL,
  'ch. 7 section 12, eq. 7-7',
  'http://www.usbr.gov/pmts/hydraulics_lab/pubs/wmm/chap07_12.html',
  2001,
)
const parshall = lookedUp(
  RECLAMATION,
  `${MANUAL}, as coded in data-collection software of US water agencies`,
  'ch. 8, 4 W h^(1.522 W^0.026) and (3.6875 W + 2.5) h^1.6',
  PARSHALL_CODE,
  2001,
)
const lecture = lookedUp(
  'Utah State University',
  'lecture notes 6300, lecture 2, Flumes for Open-Channel Flow Measurement',
  'design example',
  'https://it.scribd.com/doc/273895689/6300-L02-FlumesOpenChannelFlowMeasurement',
  2005,
)
const largeFlumes = lookedUp(
  'ISO',
  'ISO 9826 / CJ/T 3008.3, as quoted in public source text',
  'table of Q = K h^1.6 in L/s and m',
  'file index id 57925163512',
  1993,
)
const verticalPipe = lookedUp(
  RECLAMATION,
  `${MANUAL}, as coded in a public R function`,
  'ch. 14, vertical pipe',
  'file index id 14589710462',
  2001,
)
const francis: Source = {
  publication: { publisher: RECLAMATION, document: MANUAL, place: 'ch. 7, Francis equations', year: 2001 },
  basis: 'from memory',
}

const feet = (value: number): number => si(value, 'ft', 'length')
const inches = (value: number): number => si(value, 'in', 'length')
const cfs = (flow: number): number => convert(flow, 'm3/s', 'flow', 'cfs')
const gpm = (flow: number): number => convert(flow, 'm3/s', 'flow', 'gpm')
const degrees = (value: number): number => si(value, 'deg', 'angle')

const notchFlow = (angle: number, head: number): number => formula('v-notch-flow', { angle: degrees(angle), head })
const overRectangular = (crest: number, channel: number, height: number, head: number): number =>
  formula('rectangular-weir-flow', { crestLength: crest, channelWidth: channel, crestHeight: height, head })
const throughFlume = (throat: number, head: number): number =>
  cfs(formula('parshall-flow', { throat: feet(throat), head: feet(head) }))

/** C_e of a wide crest in ft^0.5/s, from the flow over it: C2 where the pool is deep, C1 what a shallow one adds. */
function kindsvaterConstants(share: number): { c1: number; c2: number } {
  // Long enough for the correction of its length to vanish; over the head with its own correction.
  const crest = 1e9
  const head = feet(0.5)
  const coefficient = (height: number) =>
    cfs(overRectangular(crest, crest / share, height, head)) / ((crest / 0.3048) * ((head + 0.001) / 0.3048) ** 1.5)
  const c2 = coefficient(1e12)
  return { c1: coefficient(head) - c2, c2 }
}

const KINDSVATER: readonly (readonly [share: number, c1: number, c2: number])[] = [
  [1, 0.4, 3.22],
  [0.9, 0.3447, 3.205],
  [0.8, 0.2376, 3.189],
  [0.7, 0.1602, 3.182],
  [0.5, 0.0612, 3.173],
]
const ROUNDED = 'the coefficients of ISO 1438 are rounded to three digits in SI, the print to four in US units'

const kindsvaterRows: Row[] = KINDSVATER.flatMap(([share, c1, c2]): Row[] => [
  [
    `weir.kindsvater-c2-${share}`,
    `rectangular weir, crest ${share} of the channel, C2`,
    kindsvater,
    c2,
    'ft^0.5/s',
    0.0075,
    () => kindsvaterConstants(share).c2,
    ROUNDED,
  ],
  [
    `weir.kindsvater-c1-${share}`,
    `rectangular weir, crest ${share} of the channel, C1`,
    kindsvater,
    c1,
    'ft^0.5/s',
    0.0035,
    () => kindsvaterConstants(share).c1,
    ROUNDED,
  ],
])

/** Exponent of a flume, from its flow at 1 ft and 2 ft. */
const exponentOf = (throat: number): number => Math.log2(throughFlume(throat, 2) / throughFlume(throat, 1))
const exponentRows: Row[] = [1.5, 2, 3, 4, 5, 6, 7, 8].map(
  (throat): Row => [
    `flume.exponent-${throat}`,
    `Parshall flume of ${throat} ft, exponent`,
    parshall,
    Number((1.522 * throat ** 0.026).toFixed(6)),
    '1',
    0.00105,
    () => exponentOf(throat),
    'the table prints three decimals of the formula read',
  ],
)
const coefficientRows: Row[] = [10, 12, 15, 20, 25, 30, 40, 50].map(
  (throat): Row => [
    `flume.coefficient-${throat}`,
    `Parshall flume of ${throat} ft, flow at 1 ft`,
    parshall,
    3.6875 * throat + 2.5,
    'cfs',
    0.006,
    () => throughFlume(throat, 1),
    'the table prints two decimals of the formula read',
  ],
)
const LARGE: readonly (readonly [throat: number, litres: number, within: number])[] = [
  [10, 7463, 2],
  [15, 10960, 5],
  [20, 14450, 5],
  [30, 21440, 5],
]
const largeRows: Row[] = LARGE.map(
  ([throat, litres, within]): Row => [
    `flume.litres-${throat}`,
    `Parshall flume of ${throat} ft, flow at 1 m`,
    largeFlumes,
    litres,
    'L/s',
    within,
    () => 1000 * formula('parshall-flow', { throat: feet(throat), head: 1 }),
  ],
)

const rows: Row[] = [
  [
    'weir.notch-1ft',
    '90-degree notch, head 1 ft',
    notch,
    2.49,
    'cfs',
    0.0125,
    () => cfs(notchFlow(90, feet(1))),
    'another formula, within half a percent',
  ],
  [
    'weir.notch-coefficient',
    'C_e at 90 degrees',
    laboratory,
    0.578,
    '1',
    0.0005,
    () => {
      const head = 1e6
      return notchFlow(90, head) / ((8 / 15) * Math.sqrt(2 * 9.80665) * head ** 2.5)
    },
  ],
  [
    'weir.cipolletti',
    'Cipolletti weir, crest 1 ft, head 1 ft',
    cipolletti,
    3.367,
    'cfs',
    0.0005,
    () => cfs(formula('cipolletti-weir-flow', { crestLength: feet(1), head: feet(1) })),
  ],
  [
    'weir.francis-suppressed',
    'suppressed, crest 2 ft, head 0.5 ft: 3.33 L h^1.5',
    francis,
    2.3547,
    'cfs',
    0.0005,
    () => cfs(formula('francis-weir-flow', { crestLength: feet(2), contractions: 0, head: feet(0.5) })),
  ],
  [
    'weir.francis-contracted',
    'contracted, crest 3 ft, head 0.6 ft',
    francis,
    4.4572,
    'cfs',
    0.0005,
    () => cfs(formula('francis-weir-flow', { crestLength: feet(3), contractions: 2, head: feet(0.6) })),
  ],
  [
    'flume.lecture',
    'Parshall flume of 0.61 m at a depth of 0.66 m',
    lecture,
    0.75,
    'm3/s',
    0.009,
    () => formula('parshall-flow', { throat: 0.61, head: 0.66 }),
    'the depth is printed to a centimetre',
  ],
  [
    'orifice.constant',
    'orifice of 1 in², head 1 in, K 1',
    derived('Torricelli’s theorem', 'in gpm and inches'),
    7.218,
    'gpm',
    0.0005,
    () => gpm(formula('orifice-flow', { coefficient: 1, area: inches(1) ** 2, head: inches(1) })),
  ],
  [
    'jet.constant',
    'jet of 1 in², distance 1 in, fall 1 in',
    derived('projectile motion', 'in gpm and inches'),
    3.61,
    'gpm',
    0.005,
    () => gpm(formula('jet-velocity', { distance: inches(1), fall: inches(1), slope: 0 }) * inches(1) ** 2),
  ],
  [
    'jet.half-full',
    'pipe half full has half the area',
    derived('segment of a circle', 'half of it'),
    0.5,
    '1',
    1e-12,
    () => formula('segment-area', { depth: 0.1, diameter: 0.2 }) / formula('pipe-area', { diameter: 0.2 }),
  ],
  [
    'jet.vertical',
    'vertical pipe of 1 in, jet of 1 in',
    verticalPipe,
    5.01,
    'gpm',
    0.005,
    () => gpm(formula('vertical-jet-flow', { diameter: inches(1), height: inches(1) })),
  ],
  [
    'jet.overflow',
    'vertical pipe of 1 in, water 1 in over its rim',
    verticalPipe,
    6.17,
    'gpm',
    0.01,
    () => gpm(formula('vertical-overflow-flow', { diameter: inches(1), height: inches(1) })),
  ],
  [
    'tank.cubic-foot',
    'a box of 1 ft³ filled in a minute',
    derived('definition of the gallon', '1728 in³ over 231 in³'),
    7.4805195,
    'gpm',
    5e-8,
    () =>
      gpm(
        formula('tank-flow', {
          volume: formula('tank-volume', { length: feet(1), width: feet(1), rise: feet(1) }),
          elapsed: 60,
        }),
      ),
  ],
]

export const openFlowChecks: readonly Check[] = rowsToChecks([
  ...rows,
  ...kindsvaterRows,
  ...exponentRows,
  ...coefficientRows,
  ...largeRows,
])
