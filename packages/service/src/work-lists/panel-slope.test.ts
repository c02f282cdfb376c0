import { describe, expect, test } from 'vitest'
import { panelSlope } from './panel-slope.ts'

/** Invented levels of five wells, year and metres. */
const WELLS = [
  [[0, 31.2], [1, 31.9], [2, 32.3], [3, 33.4]],
  [[0.1, 18.4], [2.2, 19.9]],
  [[0, 55], [1.1, 54.7], [3, 56.1]],
  [[1, 40.2], [2, 41.3], [3.1, 41.9]],
  [[0.2, 27.7], [3, 28]],
] as const // biome-ignore format: one well a line
const points = (wells: readonly (readonly (readonly [number, number])[])[]) =>
  wells.map((well) => well.map(([x, y]) => ({ x, y })))

describe('the slope of a panel', () => {
  // statsmodels 0.15.0: ordinary least squares with a constant for each well, covariance clustered by well without its
  // correction: slope 0.5099879215832, standard error 0.1148821646688, times √(5/4); t for four degrees of freedom 2.776445105.
  test('and its interval are those of a general library', () => {
    const found = panelSlope(points(WELLS))!
    expect(found.plants).toBe(5)
    expect(found.slope).toBeCloseTo(0.5099879215832, 12)
    const half = 2.776445105 * 0.11488216466880787 * Math.sqrt(5 / 4)
    expect(found.low).toBeCloseTo(0.5099879215832 - half, 9)
    expect(found.high).toBeCloseTo(0.5099879215832 + half, 9)
  })

  test('does not move with who comes to be measured: a deep well that is new in the last year changes nothing', () => {
    const before = panelSlope(points(WELLS))
    expect(panelSlope(points([...WELLS, [[3, 180]]]))).toEqual(before)
  })

  test('has no interval from one well, and is not there without a second day', () => {
    expect(panelSlope(points([WELLS[0]]))).toEqual({ slope: expect.closeTo(0.7, 12), plants: 1 })
    expect(panelSlope(points([[[1, 20]], [[2, 30]]]))).toBeUndefined()
    expect(panelSlope([])).toBeUndefined()
  })
})
