import { describe, expect, test } from 'vitest'
import { coverageFactor95 } from './student-t.ts'

/**
 * Two-sided 95 % column of JCGM 100:2008, table G.2, which NIST Technical Note 1297 (1994 edition) prints as
 * table B.1; two decimals.
 */
const printed: readonly (readonly [degreesOfFreedom: number, t: number])[] = [
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
  [100, 1.984],
  [Infinity, 1.96],
]

/**
 * Probability that Student's t with whole degrees of freedom lies within ±t, from the closed forms of Abramowitz
 * and Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4.
 */
function probabilityWithin(t: number, nu: number): number {
  const theta = Math.atan(t / Math.sqrt(nu))
  const cos2 = Math.cos(theta) ** 2
  const odd = nu % 2 === 1
  let term = odd ? Math.cos(theta) : 1
  let sum = nu === 1 ? 0 : term
  for (let k = odd ? 3 : 2; k <= nu - 2; k += 2) {
    term *= (cos2 * (k - 1)) / k
    sum += term
  }
  return odd ? (2 / Math.PI) * (theta + Math.sin(theta) * sum) : Math.sin(theta) * sum
}

describe('coverage factor', () => {
  test.each(printed)('for %d degrees of freedom is the printed %d', (degreesOfFreedom, t) => {
    const halfLastDigit = t === 1.984 ? 0.0005 : 0.005
    expect(Math.abs(coverageFactor95(degreesOfFreedom) - t)).toBeLessThanOrEqual(halfLastDigit)
  })

  test('covers 95 % for any whole degrees of freedom, to eight digits', () => {
    for (const nu of [...Array(200).keys()].map((i) => i + 1).concat(500, 999, 1000, 5000))
      expect(Math.abs(probabilityWithin(coverageFactor95(nu), nu) - 0.95)).toBeLessThan(1e-8)
  })

  test('falls with every degree of freedom, towards the normal quantile', () => {
    for (let nu = 1; nu < 1000; nu++) expect(coverageFactor95(nu + 1)).toBeLessThan(coverageFactor95(nu))
    expect(coverageFactor95(1e9)).toBeCloseTo(coverageFactor95(Infinity), 8)
    expect(coverageFactor95(Infinity)).toBeCloseTo(1.959963984540054, 12)
  })
})
