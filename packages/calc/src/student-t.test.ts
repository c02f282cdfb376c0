import { describe, expect, test } from 'vitest'
import { coverageFactor95 } from './student-t.ts'

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
