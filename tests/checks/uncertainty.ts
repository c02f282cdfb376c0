/** Student's t and the worked examples of the Guide, through the product's graph and propagation. */
import { correlation, endGauge, impedance, sumOfFour, thermometer } from '../../packages/calc/src/gum/testing.ts'
import { coverageFactor95 } from '../../packages/calc/src/student-t.ts'
import { interval95, rectangular, resolution, uncertaintyOf } from '../../packages/calc/src/uncertainty.ts'
import type { Check, Source } from './check.ts'

const guide = (place: string, address?: string): Source => ({
  publication: { publisher: 'JCGM', document: 'JCGM 100:2008 (GUM)', place, year: 2008 },
  basis: address === undefined ? 'derived' : 'looked up',
  ...(address === undefined ? {} : { address }),
})
const tableOfT: Source = {
  publication: {
    publisher: 'NIST',
    document: 'Technical Note 1297',
    place: 'table B.1, the same as JCGM 100:2008, table G.2',
    year: 1994,
  },
  basis: 'looked up',
  address: 'https://www.nist.gov/physical-measurement-laboratory/nist-tn-1297-guidelines-appendix-b-table-b1',
}
const SUNCAL =
  'https://github.com/sandialabs/suncal/blob/482a1a857e94d3a8ed93a83d0215506112dab749/test/test_uncertainty.py'
const supplement = (place: string): Source => ({
  publication: { publisher: 'JCGM', document: 'JCGM 101:2008', place, year: 2008 },
  basis: 'looked up',
  address: SUNCAL,
})
const h1 = (place: string): Source => guide(place, SUNCAL)
const h1Data = guide('H.1.6', 'a public source text with the reference data of the example')
const h2 = guide('H.2, tables H.2 to H.4', SUNCAL)
const h2Correlation = guide(
  'H.2, tables H.2 to H.4',
  'https://github.com/bcdev/uncertaintyx/blob/956f5abbab023bd8692ff066e4399fa4d3b68a90/test/gum/jax/test_example_9_4.py',
)
const h3 = guide(
  'H.3, table H.6',
  'https://github.com/MSLNZ/GTC/blob/9d841904b68b27abd1caafec354186e7b9f8bda1/docs/API/GUM_H3.rst',
)

/** The 95 % column. */
const t95: readonly (readonly [degreesOfFreedom: number, t: number])[] = [
  [1, 12.71],
  [2, 4.3],
  [3, 3.18],
  [4, 2.78],
  [5, 2.57],
  [6, 2.45],
  [7, 2.36],
  [8, 2.31],
  [9, 2.26],
  [10, 2.23],
  [11, 2.2],
  [12, 2.18],
  [13, 2.16],
  [14, 2.14],
  [15, 2.13],
  [16, 2.12],
  [17, 2.11],
  [18, 2.1],
  [19, 2.09],
  [20, 2.09],
  [25, 2.06],
  [30, 2.04],
  [35, 2.03],
  [40, 2.02],
  [45, 2.01],
  [50, 2.01],
]

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

const students: readonly Check[] = [
  ...t95.map(([nu, t]) =>
    check(`t-${nu}`, `t at 95 % for ${nu} degrees of freedom`, tableOfT, t, '1', 5e-3, () => coverageFactor95(nu)),
  ),
  check('t-100', 't at 95 % for 100 degrees of freedom', tableOfT, 1.984, '1', 5e-4, () => coverageFactor95(100)),
  check('t-unlimited', 't at 95 % without limit', tableOfT, 1.96, '1', 5e-4, () => coverageFactor95(Infinity)),
]

const endGaugeChecks = (): readonly Check[] => {
  const { graph, length, difference } = endGauge()
  const ofLength = uncertaintyOf(graph, length)
  const ofDifference = uncertaintyOf(graph, difference)
  const cut = 'truncated to a whole number, as G.4.1 asks'
  return [
    check('gum-h1-d', 'u of the difference', h1('H.1.3.2'), 9.7, 'nm', 0.05, () => ofDifference.standard),
    check(
      'gum-h1-nu-d',
      'effective degrees of freedom of the difference',
      h1('H.1.6'),
      25,
      '1',
      0,
      () => ofDifference.degreesOfFreedom,
      `printed 25.6; ${cut}`,
    ),
    check('gum-h1-u', 'combined standard uncertainty', h1('H.1.4'), 32, 'nm', 0.5, () => ofLength.standard),
    check(
      'gum-h1-nu',
      'effective degrees of freedom',
      h1Data,
      16,
      '1',
      0,
      () => ofLength.degreesOfFreedom,
      `printed 16.7; ${cut}`,
    ),
  ]
}

const impedanceChecks = (): readonly Check[] => {
  const { graph, ...nodes } = impedance()
  const u = (node: number): number => uncertaintyOf(graph, node).standard
  const r = (a: number, b: number): number => correlation(graph, a, b)
  const { resistance, reactance, impedance: z } = nodes
  return [
    check('gum-h2-r', 'resistance', h2, 127.732, 'ohm', 5e-4, () => graph.values[resistance]!),
    check('gum-h2-x', 'reactance', h2, 219.847, 'ohm', 5e-4, () => graph.values[reactance]!),
    check('gum-h2-z', 'impedance', h2, 254.26, 'ohm', 5e-3, () => graph.values[z]!),
    check('gum-h2-u-r', 'u of the resistance', h2, 0.071, 'ohm', 5e-4, () => u(resistance)),
    check(
      'gum-h2-u-x',
      'u of the reactance',
      h2,
      0.295,
      'ohm',
      6e-4,
      () => u(reactance),
      'the table’s own digits give 0.2956',
    ),
    check('gum-h2-u-z', 'u of the impedance', h2, 0.236, 'ohm', 5e-4, () => u(z)),
    check('gum-h2-r-rx', 'correlation of R and X', h2Correlation, -0.588, '1', 5e-4, () => r(resistance, reactance)),
    check('gum-h2-r-rz', 'correlation of R and Z', h2Correlation, -0.485, '1', 5e-4, () => r(resistance, z)),
    check('gum-h2-r-xz', 'correlation of X and Z', h2Correlation, 0.993, '1', 5e-4, () => r(reactance, z)),
  ]
}

const thermometerChecks = (): readonly Check[] => {
  const { graph, intercept, slope, at30 } = thermometer()
  const value = (node: number): number => graph.values[node]!
  const u = (node: number): number => uncertaintyOf(graph, node).standard
  return [
    check('gum-h3-y1', 'intercept', h3, -0.1712, 'degC', 5e-5, () => value(intercept)),
    check('gum-h3-y2', 'slope', h3, 0.00218, '1', 5e-6, () => value(slope)),
    check('gum-h3-u-y1', 'u of the intercept', h3, 0.0029, 'degC', 5e-5, () => u(intercept)),
    check('gum-h3-u-y2', 'u of the slope', h3, 0.00067, '1', 5e-6, () => u(slope)),
    check('gum-h3-r', 'correlation of both', h3, -0.93, '1', 5e-4, () => correlation(graph, intercept, slope)),
    check('gum-h3-b30', 'correction at 30 °C', h3, -0.1494, 'degC', 5e-5, () => value(at30)),
    check('gum-h3-u-b30', 'u of the correction at 30 °C', h3, 0.0041, 'degC', 5e-5, () => u(at30)),
  ]
}

const additiveChecks = (): readonly Check[] => {
  const { graph, sum } = sumOfFour([1, 1, 1, 1])
  const { standard, expanded } = uncertaintyOf(graph, sum)
  return [
    check('jcgm101-u', 'u of a sum of four normal quantities', supplement('9.2.2'), 2, '1', 1e-9, () => standard),
    check('jcgm101-95', 'half-width of its 95 % interval', supplement('9.2.2'), 3.92, '1', 5e-3, () => expanded),
    check('rectangular', 'u of a rectangular half-width of 1', guide('4.3.7'), 0.57735, '1', 5e-6, () =>
      rectangular(1),
    ),
    check('resolution', 'u of a step of 1', guide('F.2.2.1'), 0.288675, '1', 5e-7, () => resolution(1)),
    check('interval', 'u of a 95 % interval of ±1.96', guide('4.3.4'), 1, '1', 5e-3, () => interval95(1.96)),
  ]
}

export const uncertaintyChecks: readonly Check[] = [
  ...students,
  ...endGaugeChecks(),
  ...impedanceChecks(),
  ...thermometerChecks(),
  ...additiveChecks(),
]

/** What propagation says of a sum of four rectangular quantities of unit variance. */
export function halfWidthOfFourRectangular(): number {
  const u = rectangular(Math.sqrt(3))
  const { graph, sum } = sumOfFour([u, u, u, u])
  return uncertaintyOf(graph, sum).expanded
}
