import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { weightedLine } from './weighted-line.ts'

const line = (rows: readonly (readonly [x: number, y: number, u: number])[]) =>
  weightedLine(rows.map(([x, y, u]) => ({ x, y, u })))

describe('the slope of a weighted line', () => {
  // GNU Scientific Library, Reference Manual, chapter Linear Least-Squares Fitting, straight-line example: weights 0.1 to
  // 0.4, slope 0.06, its variance 0.01, chi-square 0.8. By hand: root of 0.8/2, and 1.959964 times the root of 0.01.
  test('is that of the printed example, with the uncertainty of what was stated', () => {
    const of = (weight: number) => 1 / Math.sqrt(weight)
    const found = line([
      [1970, 12, of(0.1)],
      [1980, 11, of(0.2)],
      [1990, 14, of(0.3)],
      [2000, 13, of(0.4)],
    ])!
    expect(found.slope).toBeCloseTo(0.06, 12)
    expect(found.u).toBeCloseTo(0.1, 12)
    expect(found.birgeRatio).toBeCloseTo(Math.sqrt(0.4), 12)
    expect(found.uncertaintyFrom).toBe('stated')
    expect([found.low, found.high].map((end) => end.toFixed(6))).toEqual(['-0.135996', '0.255996'])
  })

  // Three values by hand: slope (y3 − y1)/2 = −2; residuals 1/3, −2/3, 1/3 times 3 = 1, −2, 1: chi-square 6/u² = 6 with u = 1,
  // Birge ratio √6; u of the slope 1/√2 times √6 = √3; Student's t for one degree of freedom 12.706205.
  test('is enlarged where the values scatter more than was stated', () => {
    const found = line([
      [0, 10, 1],
      [1, 5, 1],
      [2, 6, 1],
    ])!
    expect(found).toMatchObject({ uncertaintyFrom: 'scatter' })
    expect(found.slope).toBeCloseTo(-2, 12)
    expect(found.birgeRatio).toBeCloseTo(Math.sqrt(6), 12)
    expect(found.u).toBeCloseTo(Math.sqrt(3), 12)
    expect(found.high).toBeCloseTo(-2 + 12.706204736 * Math.sqrt(3), 8)
  })

  test('loses no digits to years that are counted from far away', () => {
    const near = line([
      [0, 0.71, 0.01],
      [1.5, 0.69, 0.02],
      [3, 0.64, 0.01],
    ])!
    const far = line([
      [2_000_000, 0.71, 0.01],
      [2_000_001.5, 0.69, 0.02],
      [2_000_003, 0.64, 0.01],
    ])!
    expect(Math.abs(far.slope / near.slope - 1)).toBeLessThan(1e-9)
  })

  test('is not told from two values, nor from values of one day', () => {
    expect(
      line([
        [0, 1, 1],
        [1, 2, 1],
      ]),
    ).toBeUndefined()
    expect(
      line([
        [3, 1, 1],
        [3, 2, 1],
        [3, 3, 1],
      ]),
    ).toBeUndefined()
  })

  test('never says less than what was stated: more scatter never narrows the interval', () => {
    const value = fc.double({ min: -1, max: 1, noNaN: true })
    fc.assert(
      fc.property(
        fc.array(value, { minLength: 3, maxLength: 12 }),
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        (ys, u) => {
          const found = line(ys.map((y, x) => [x, y, u]))!
          const exact = line(ys.map((_, x) => [x, 0, u]))!
          expect(found.high - found.low).toBeGreaterThanOrEqual((exact.high - exact.low) * (1 - 1e-9))
        },
      ),
    )
  })
})

/** Park and Miller's generator (Communications of the ACM 31, 1192, 1988), and the sum of twelve for a normal deviate. */
function deviates(seed: number): () => number {
  let state = seed
  const uniform = (): number => {
    state = (state * 16_807) % 2_147_483_647
    return state / 2_147_483_647
  }
  return () => Array.from({ length: 12 }, uniform).reduce((sum, one) => sum + one, -6)
}

/** Share of steady plants whose slope is found to lie below nothing. */
function shareFalling(values: number, factor: number): number {
  const normal = deviates(20_261)
  const rounds = 20_000
  let falling = 0
  for (let round = 0; round < rounds; round++) {
    const found = line(Array.from({ length: values }, (_, x) => [x, factor * 0.02 * normal(), 0.02] as const))!
    if (found.high < 0) falling += 1
  }
  return falling / rounds
}

describe('a steady plant', () => {
  // Three standard errors of a share of 2.5 % over the rounds are 0.33 %.
  test.each([3, 4, 6])('is found to fall in at most one of forty cases, from %i values', (values) => {
    expect(shareFalling(values, 1)).toBeLessThan(0.0283)
  })

  // Without the Birge ratio and t it would be 26 % for any number of values: a normal deviate below −1.96/3.
  test.each([3, 4, 6])(
    'is rarely found to fall even where errors are three times as large as stated, from %i',
    (values) => {
      expect(shareFalling(values, 3)).toBeLessThan(0.07)
    },
  )
})
