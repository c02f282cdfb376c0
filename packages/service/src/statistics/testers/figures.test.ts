/** The figures by tester, each against values printed by others. */
import { describe, expect, test } from 'vitest'
import { betweenTesters, dersimonianLaird, type Mean } from './between-testers.ts'
import {
  COMMON_SHARE_MIN,
  funnelOf,
  INNER,
  likeNormal,
  limitAt,
  limitsFor,
  OUTER,
  placeOf,
  TESTS_MIN,
  type TesterMean,
} from './funnel.ts'
import { leastSquares } from './least-squares.ts'
import { offsetsOf, type Repeat } from './repeats.ts'
import { componentsOf, explainedByPlants, meansByTester, type TestOfTester } from './residuals.ts'

/** NIST/ITL, Statistical Reference Datasets, Linear Regression, "Longley": data and certified values. */
const LONGLEY = [
  [60323, 83.0, 234289, 2356, 1590, 107608, 1947],
  [61122, 88.5, 259426, 2325, 1456, 108632, 1948],
  [60171, 88.2, 258054, 3682, 1616, 109773, 1949],
  [61187, 89.5, 284599, 3351, 1650, 110929, 1950],
  [63221, 96.2, 328975, 2099, 3099, 112075, 1951],
  [63639, 98.1, 346999, 1932, 3594, 113270, 1952],
  [64989, 99.0, 365385, 1870, 3547, 115094, 1953],
  [63761, 100.0, 363112, 3578, 3350, 116219, 1954],
  [66019, 101.2, 397469, 2904, 3048, 117388, 1955],
  [67857, 104.6, 419180, 2822, 2857, 118734, 1956],
  [68169, 108.4, 442769, 2936, 2798, 120445, 1957],
  [66513, 110.8, 444546, 4681, 2637, 121950, 1958],
  [68655, 112.6, 482704, 3813, 2552, 123366, 1959],
  [69564, 114.2, 502601, 3931, 2514, 125368, 1960],
  [69331, 115.7, 518173, 4806, 2572, 127852, 1961],
  [70551, 116.9, 554894, 4007, 2827, 130081, 1962],
] as const
const CERTIFIED = [
  [-3482258.63459582, 890420.383607373],
  [15.0618722713733, 84.9149257747669],
  [-0.035819179292591, 0.0334910077722432],
  [-2.02022980381683, 0.488399681651699],
  [-1.03322686717359, 0.214274163161675],
  [-0.0511041056535807, 0.22607320006937],
  [1829.15146461355, 455.478499142212],
] as const
const CERTIFIED_DEVIATION = 304.854073561965

const relative = (found: number, due: number): number => Math.abs(found / due - 1)

describe('least squares', () => {
  const y = LONGLEY.map(([value]) => value)
  const columns = [y.map(() => 1), ...[1, 2, 3, 4, 5, 6].map((place) => LONGLEY.map((row) => row[place]!))]

  test('of nearly dependent columns have the certified coefficients and errors to eight digits', () => {
    const fit = leastSquares(columns, y)
    for (const [n, [coefficient, error]] of CERTIFIED.entries()) {
      expect(relative(fit.coefficients[n]!, coefficient), `B${n}`).toBeLessThan(1e-8)
      expect(relative(fit.standardErrors[n]!, error), `error of B${n}`).toBeLessThan(1e-8)
    }
    expect(relative(fit.residualDeviation, CERTIFIED_DEVIATION)).toBeLessThan(1e-9)
    expect(fit.degreesOfFreedom).toBe(9)
  })

  test('leave out a column that others make up already, and fit as well', () => {
    const fit = leastSquares([...columns, columns[1]!.map((value, n) => 2 * value - columns[5]![n]!)], y)
    expect(fit.coefficients.at(-1)).toBe(0)
    expect(relative(fit.residualDeviation, CERTIFIED_DEVIATION)).toBeLessThan(1e-9)
  })

  test('refuse columns of another length', () => {
    expect(() => leastSquares([[1, 2]], [1, 2, 3])).toThrow(RangeError)
  })
})

/**
 * Thirteen trials as counts of two by two tables, a set that many texts on combining studies print (Colditz et al.,
 * Journal of the American Medical Association 271 (1994) 698–702; counts of trials 1 to 6 looked up on the project page
 * of the R package metafor, the others from memory).
 */
const TRIALS = [
  [4, 119, 11, 128],
  [6, 300, 29, 274],
  [3, 228, 11, 209],
  [62, 13536, 248, 12619],
  [33, 5036, 47, 5761],
  [180, 1361, 372, 1079],
  [8, 2537, 10, 619],
  [505, 87886, 499, 87892],
  [29, 7470, 45, 7232],
  [17, 1699, 65, 1600],
  [186, 50448, 141, 27197],
  [5, 2493, 3, 2338],
  [27, 16886, 29, 17825],
] as const
const logRatio = ([a, b, c, d]: (typeof TRIALS)[number]): Mean => ({
  value: Math.log(a / (a + b) / (c / (c + d))),
  standardError: Math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)),
  spread: 1,
})

describe('the variance between groups', () => {
  test('is that which metafor gives for thirteen trials', () => {
    // W. Viechtbauer, training of the Cochrane Statistical Methods Group 2016, slide 88 as quoted in a public repository:
    // τ² 0.3088, estimate −0.7141; Q 152.23 with 12 degrees of freedom in a published demonstration of the same package.
    const { centre, variance, heterogeneity } = dersimonianLaird(TRIALS.map(logRatio))
    expect(variance).toBeCloseTo(0.3088, 4)
    expect(centre).toBeCloseTo(-0.7141, 4)
    expect(heterogeneity).toBeCloseTo(152.23, 2)
  })

  test('of groups that differ twice as far is a quarter for those that differ once', () => {
    const { variance, centre } = dersimonianLaird(TRIALS.map((trial) => ({ ...logRatio(trial), spread: 2 })))
    expect(variance).toBeCloseTo(0.3088 / 4, 4)
    expect(centre).toBeCloseTo(-0.7141, 4)
  })

  test('is 0 where chance explains all', () => {
    const alike = [-1, 0, 1, 0].map((value) => ({ value, standardError: 5, spread: 1 }))
    expect(dersimonianLaird(alike)).toMatchObject({ centre: 0, variance: 0 })
  })

  test('is not widened by the few that stand apart', () => {
    // Spread evenly in rank as normal values of deviation 0.01 are, with errors of 0.01; three are 0.1 off.
    const quiet = Array.from({ length: 37 }, (_, n) => ({
      value: 0.0141 * quantile((n + 0.5) / 37),
      standardError: 0.01,
      spread: 1,
    }))
    const loud = [0.1, 0.11, -0.1].map((value) => ({ value, standardError: 0.01, spread: 1 }))
    const { variance, centre } = betweenTesters([...quiet, ...loud], OUTER)
    expect(Math.sqrt(variance)).toBeGreaterThan(0.007)
    expect(Math.sqrt(variance)).toBeLessThan(0.011)
    expect(Math.abs(centre)).toBeLessThan(0.002)
    expect(Math.sqrt(dersimonianLaird([...quiet, ...loud]).variance)).toBeGreaterThan(0.02)
  })

  test('asks for a mean, and for errors above 0', () => {
    expect(() => dersimonianLaird([])).toThrow(RangeError)
    expect(() => dersimonianLaird([{ value: 1, standardError: 0, spread: 1 }])).toThrow(/above 0/)
  })
})

/** Quantile of the normal distribution by halving, good to 1e-9. */
function quantile(p: number): number {
  let [low, high] = [-8, 8]
  for (let turn = 0; turn < 60; turn++) {
    const middle = (low + high) / 2
    if (below(middle) < p) low = middle
    else high = middle
  }
  return low
}
function below(z: number): number {
  // Trapezes over the density.
  const [steps, from] = [2000, -9]
  const h = (z - from) / steps
  let sum = 0
  for (let n = 0; n <= steps; n++) {
    const x = from + n * h
    sum += (n === 0 || n === steps ? 0.5 : 1) * Math.exp((-x * x) / 2)
  }
  return (sum * h) / Math.sqrt(2 * Math.PI)
}

describe('the funnel', () => {
  test('has limits that 4.6 % and 0.2 % of normal values pass, as tables of the normal distribution have it', () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1: 0.47725 between 0 and 2, 0.49900 between 0 and 3.09.
    expect(2 * (below(INNER) - 0.5)).toBeCloseTo(2 * 0.47725, 5)
    expect(2 * (below(OUTER) - 0.5)).toBeCloseTo(2 * 0.499, 5)
  })

  test('places a score by the limit it passes, on either side', () => {
    const places = (...scores: number[]) => scores.map((score) => placeOf(score, { inner: 2, outer: 3.09 }))
    expect(places(0, 2, -2)).toEqual(['within', 'within', 'within'])
    expect(places(2.01, -3.09)).toEqual(['beyond-inner', 'beyond-inner'])
    expect(places(3.1, -4)).toEqual(['beyond-outer', 'beyond-outer'])
  })

  test('has wider limits where few testers tell how far they differ, as tables of Student’s t have it', () => {
    // JCGM 100:2008, table G.2: 95.45 % within 2.13 at 20 degrees of freedom, 2.06 at 40, 2.025 at 100 (from memory).
    expect(likeNormal(INNER, 20)).toBeCloseTo(2.13, 2)
    expect(likeNormal(INNER, 40)).toBeCloseTo(2.06, 2)
    expect(likeNormal(INNER, 100)).toBeCloseTo(2.025, 3)
    expect(limitsFor(40).outer).toBeGreaterThan(OUTER)
    expect(limitsFor(1e6).outer).toBeCloseTo(OUTER, 4)
  })

  const mean = (n: number, value: number, tests = TESTS_MIN): TesterMean => ({
    tester: `T${n}`,
    tests,
    plants: tests,
    value,
    standardError: 0.01,
    spread: 0.03,
  })

  test('leaves testers out who have fewer than twenty tests, and says so', () => {
    const means = [-0.01, 0.004, 0, -0.003, 0.01].map((value, n) => mean(n, value))
    const funnel = funnelOf([...means, mean(9, 0.3, TESTS_MIN - 1)])!
    expect(funnel.testers).toHaveLength(5)
    expect(funnel.tooFew.map(({ tester }) => tester)).toEqual(['T9'])
    expect(funnelOf(means.slice(1))).toBeUndefined()
  })

  test('allows for what all tests of a tester share of their uncertainty', () => {
    const funnel = funnelOf(Array.from({ length: 8 }, (_, n) => mean(n, n === 0 ? 0.05 : 0)))!
    expect(funnel.commonShare).toBe(COMMON_SHARE_MIN)
    const apart = funnel.testers[0]!
    expect(apart.score).toBeCloseTo(apart.difference / Math.hypot(0.01, COMMON_SHARE_MIN * 0.03), 10)
  })

  test('widens with the spread between testers', () => {
    expect(limitAt(0.03, 0.04, OUTER)).toBeCloseTo(3.09 * 0.05, 12)
  })
})

describe('variance components', () => {
  test('are those of a balanced analysis of variance done by hand', () => {
    // Two values in each of three groups: mean squares 32 between groups, 2 within: (32 − 2) / 2 = 15.
    const components = componentsOf([
      [1, 3],
      [5, 7],
      [9, 11],
    ])
    expect(components).toEqual({ between: 15, within: 2 })
  })

  test('of plants tested once are all between', () => {
    expect(componentsOf([[1], [3]])).toEqual({ between: 2, within: 0 })
  })
})

describe('what plants explain', () => {
  const plain = (n: number, tester: string, efficiency: number, ageYears: number | undefined = 0): TestOfTester => ({
    tester,
    plant: `P${n}`,
    kind: n % 2 === 0 ? 'well' : 'booster',
    powerClass: 'one',
    region: 'one',
    ageYears,
    efficiency,
    relativeUncertainty: 0.02,
    ownFlowInstrument: n % 2 === 0,
  })

  test('is taken out: kind, and wear by age, with nothing left over', () => {
    const tests = Array.from({ length: 30 }, (_, n) =>
      plain(n, `T${n % 3}`, 0.6 * (n % 2 === 0 ? 1 : 1.2) * Math.exp(-0.02 * (n % 7)), n % 7),
    )
    const { residuals, perYearOfAge, deviationBefore } = explainedByPlants(tests)
    expect(Math.max(...residuals.map(Math.abs))).toBeLessThan(1e-12)
    expect(perYearOfAge).toBeCloseTo(-0.02, 10)
    expect(deviationBefore).toBeGreaterThan(0.05)
  })

  test('leaves the difference of a tester who reads all plants high', () => {
    const tests = Array.from({ length: 400 }, (_, n) => plain(n, `T${n % 4}`, 0.6 * (n % 4 === 0 ? 1.1 : 1), undefined))
      // Kinds go with the place in the list, testers with its quarter: neither explains the other.
      .map((test, n) => ({ ...test, kind: n % 8 < 4 ? 'well' : 'booster' }))
    const { residuals } = explainedByPlants(tests)
    const means = new Map(meansByTester(tests, residuals).map((one) => [one.tester, one.value]))
    expect(means.get('T0')! - means.get('T1')!).toBeCloseTo(Math.log(1.1), 10)
  })
})

describe('repeats on the same plants', () => {
  const repeat = (first: string, second: string, difference: number, plant = 'P'): Repeat => ({
    first,
    second,
    plant,
    difference,
    uncertainties: [0.02, 0.04],
  })

  test('give offsets by least squares: three testers, worked by hand', () => {
    // Levelling of a triangle: A−B 1, B−C 1, A−C 2.3. The misclosure −0.3 is shared alike: A−B 1.1, B−C 1.1, A−C 2.2.
    const offsets = offsetsOf([repeat('A', 'B', 1), repeat('B', 'C', 1), repeat('A', 'C', 2.3)])
    expect(offsets.map(({ value }) => Math.round(value * 1e9) / 1e9)).toEqual([1.1, 0, -1.1])
    // Residuals ∓0.1: variance 3 · 0.01 over 1 degree of freedom; cofactor of an offset from the middle is 2/9.
    expect(offsets.map(({ spread }) => spread)).toEqual([0.02, 0.03, 0.04])
    for (const { standardError, tests } of offsets) {
      expect(standardError).toBeCloseTo(Math.sqrt((0.03 * 2) / 9), 12)
      expect(tests).toBe(2)
    }
  })

  test('leave those out whom no chain of pairs joins to the others', () => {
    const joined = [repeat('A', 'B', 0.1), repeat('A', 'B', 0.2), repeat('B', 'C', 0), repeat('A', 'C', 0)]
    expect(offsetsOf([...joined, repeat('X', 'Y', 5)]).map(({ tester }) => tester)).toEqual(['A', 'B', 'C'])
  })

  test('say nothing without a pair to spare', () => {
    expect(offsetsOf([])).toEqual([])
    expect(offsetsOf([repeat('A', 'B', 1)])).toEqual([])
  })
})
