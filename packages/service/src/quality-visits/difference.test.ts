/** Differences and E_n numbers against values worked outside. */
import { describe, expect, test } from 'vitest'
import { allowanceFor, differenceOf } from './difference.ts'

const stated = (value: number, standardUncertainty: number, degreesOfFreedom?: number) => ({
  value,
  standardUncertainty,
  ...(degreesOfFreedom !== undefined && { degreesOfFreedom }),
})

describe('a difference', () => {
  test('over the expanded uncertainty is the E_n number', () => {
    // E_n = (x − X) / √(U(x)² + U(X)²), NIST Dataplot, “ISO 13528 EN SCORE”. The plant’s own allowance is a third part.
    const found = differenceOf('flow', 'm3/s', stated(0.1, 0.001), stated(0.104, 0.002), 0)
    const k = 1.959963984540054
    const [U1, U2, plant] = [k * 0.001, k * 0.002, k * 0.102 * 0.01]
    expect(found.en).toBeCloseTo(0.004 / Math.sqrt(U1 ** 2 + U2 ** 2 + plant ** 2), 12)
    expect(found.difference).toBeCloseTo(0.004, 12)
    expect(found.agrees).toBe(true)
  })

  test('agrees up to 1 and not beyond, on either side', () => {
    const limit = differenceOf('flow', 'm3/s', stated(1, 0.01), stated(1, 0.01), 0).expandedUncertainty
    const moved = (by: number) => differenceOf('flow', 'm3/s', stated(1 - by / 2, 0.01), stated(1 + by / 2, 0.01), 0)
    expect(moved(limit * 0.999).agrees).toBe(true)
    expect(moved(limit * 1.001).agrees).toBe(false)
    expect(moved(-limit * 1.001)).toMatchObject({ agrees: false, en: expect.closeTo(-1.001, 6) })
  })

  test('has a wider interval where few readings tell the scatter (GUM, G.4.1)', () => {
    const few = differenceOf('flow', 'm3/s', stated(1, 0.03, 4), stated(1, 0.03, 4), 0)
    // u² = 0.0009 + 0.0009 + 0.0001, u⁴ = 3.61e-6; Σ u_i⁴/ν_i = 2 · 8.1e-7 / 4 = 4.05e-7: ν = 8.9, cut to 8, t = 2.306.
    expect(few.expandedUncertainty / Math.sqrt(0.0019)).toBeCloseTo(2.306, 3)
  })

  test('allows the plant more the longer it is ago', () => {
    expect(allowanceFor('overall-plant-efficiency', 0)).toBe(0.005)
    expect(allowanceFor('overall-plant-efficiency', 365.25)).toBeCloseTo(Math.hypot(0.005, 0.02), 12)
    expect(allowanceFor('flow', -30)).toBe(allowanceFor('flow', 30))
  })
})
