/** Slopes over the years, against a worked example, a certified fit, and a general library of statistics. */
import { panelSlope } from '../../packages/service/src/work-lists/panel-slope.ts'
import { weightedLine } from '../../packages/service/src/work-lists/weighted-line.ts'
import { type Check, lookedUp, type Row, rowsToChecks, type Source } from './check.ts'

const weightedExample = lookedUp(
  'GNU Project',
  'GNU Scientific Library, Reference Manual',
  'linear least-squares fitting, example of a straight line with weights 0.1 to 0.4',
  'https://www.gnu.org/software/gsl/doc/html/lls.html',
)

const certified = lookedUp(
  'National Institute of Standards and Technology',
  'Statistical Reference Datasets, linear regression, Norris',
  'certified estimate and standard deviation of B1, residual sum of squares',
  'https://www.itl.nist.gov/div898/strd/lls/data/LINKS/DATA/Norris.dat, as quoted in the tests of public numerical libraries',
)

const library: Source = {
  publication: {
    publisher: 'statsmodels developers',
    document: 'statsmodels 0.15.0, a general library of statistics',
    place: 'OLS with a constant for each plant, covariance clustered by plant without correction, times √(5/4)',
    year: 2026,
  },
  basis: 'derived',
}

const weighted = weightedLine(
  [
    [1970, 12, 0.1],
    [1980, 11, 0.2],
    [1990, 14, 0.3],
    [2000, 13, 0.4],
  ].map(([x, y, weight]) => ({ x: x!, y: y!, u: 1 / Math.sqrt(weight!) })),
)!

const NORRIS_X = [
  0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, 0.4, 0.6, 775.5, 666.9, 338, 447.5, 11.6, 556,
  228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]
const NORRIS_Y = [
  0.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
  557.7, 228.3, 998, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]
/** Stated far too small: then what is told of the slope is what its scatter says, whatever was stated. */
const STATED = 0.01
const norris = weightedLine(NORRIS_X.map((x, n) => ({ x, y: NORRIS_Y[n]!, u: STATED })))!

/** Invented levels of five wells: years, and metres below the datum. */
const panel = panelSlope(
  [
    [0, 31.2, 1, 31.9, 2, 32.3, 3, 33.4],
    [0.1, 18.4, 2.2, 19.9],
    [0, 55, 1.1, 54.7, 3, 56.1],
    [1, 40.2, 2, 41.3, 3.1, 41.9],
    [0.2, 27.7, 3, 28],
  ].map((well) => well.flatMap((x, n) => (n % 2 === 0 ? [{ x, y: well[n + 1]! }] : []))),
)!

const rows: readonly Row[] = [
  ['trends-001', 'slope of a weighted line', weightedExample, 0.06, '1', 5e-7, () => weighted.slope],
  ['trends-002', 'variance of that slope, from the weights', weightedExample, 0.01, '1', 5e-7, () => weighted.u ** 2],
  ['trends-003', 'chi-square of that line', weightedExample, 0.8, '1', 5e-7, () => 2 * weighted.birgeRatio ** 2],
  ['trends-004', 'slope of equal weights', certified, 1.00211681802045, '1', 5e-13, () => norris.slope],
  [
    'trends-005',
    'its standard uncertainty where the scatter is larger than what was stated',
    certified,
    0.429796848199937e-3,
    '1',
    5e-15,
    () => norris.u,
  ],
  [
    'trends-006',
    'Birge ratio: residual standard deviation over what was stated',
    certified,
    Math.sqrt(26.6173985294224 / 34) / STATED,
    '1',
    5e-11,
    () => norris.birgeRatio,
    'from the certified residual sum of squares and its 34 degrees of freedom',
  ],
  ['trends-007', 'common slope of five plants', library, 0.5099879215832, 'm/yr', 5e-13, () => panel.slope],
  [
    'trends-008',
    'its half-width over plants: standard error 0.12844216480088952, t(4) = 2.776445105',
    library,
    2.776445105 * 0.12844216480088952,
    'm/yr',
    5e-10,
    () => (panel.high! - panel.low!) / 2,
  ],
]

export const trendChecks: readonly Check[] = rowsToChecks(rows)
