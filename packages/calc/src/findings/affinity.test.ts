import { describe, expect, test } from 'vitest'
import { farthestByAffinity } from './affinity.ts'
import type { Facts } from './facts.ts'

/** A run on the curve H = 80 − 400 Q² at full speed, turned at a share of it. */
const onCurve = (flowAtFull: number, ratio: number): Facts => ({
  flow: flowAtFull * ratio,
  totalDynamicHead: (80 - 400 * flowAtFull ** 2) * ratio ** 2,
  speed: 30 * ratio,
})
const SAME = 0.01

describe('runs brought to one speed', () => {
  test('on one curve are near it, whatever their speeds', () => {
    const runs = [onCurve(0.1, 1), onCurve(0.11, 0.9), onCurve(0.12, 0.8), onCurve(0.13, 0.7)]
    expect(farthestByAffinity(runs, SAME)!.residual).toBeLessThan(0.001)
  })

  test('show the one whose head is off by as much as it is', () => {
    const runs = [onCurve(0.1, 1), onCurve(0.11, 0.9), onCurve(0.12, 1)]
    runs[1]!.totalDynamicHead! *= 1.08
    const { run, residual, speedRatio } = farthestByAffinity(runs, SAME)!
    expect(run).toBe(1)
    expect(residual).toBeCloseTo(0.08, 2)
    expect(speedRatio).toBeCloseTo(0.9, 12)
  })

  test('of which two alone are known may only fall', () => {
    expect(farthestByAffinity([onCurve(0.1, 1), onCurve(0.13, 0.8)], SAME)!.residual).toBe(0)
    const rising = [onCurve(0.1, 1), { ...onCurve(0.13, 0.8), totalDynamicHead: 76 * 1.1 * 0.64 }]
    expect(farthestByAffinity(rising, SAME)!.residual).toBeCloseTo(0.1, 12)
  })

  test('at one flow are held against one another', () => {
    const twins = [onCurve(0.1, 1), onCurve(0.1, 0.9), onCurve(0.1, 0.8)]
    expect(farthestByAffinity(twins, SAME)!.residual).toBeLessThan(1e-12)
    twins[1]!.totalDynamicHead! *= 1.1
    expect(farthestByAffinity(twins, SAME)!.residual).toBeCloseTo(0.1, 12)
  })

  test('at one speed, without speed or without head say nothing here', () => {
    expect(farthestByAffinity([onCurve(0.1, 1), onCurve(0.12, 1)], SAME)).toBeUndefined()
    expect(farthestByAffinity([onCurve(0.1, 1), { flow: 0.1, totalDynamicHead: 70 }], SAME)).toBeUndefined()
    expect(farthestByAffinity([onCurve(0.1, 1), { flow: 0.1, speed: 20 }], SAME)).toBeUndefined()
    expect(farthestByAffinity([onCurve(0.1, 1), { ...onCurve(0.1, 0.8), flow: 0 }], SAME)).toBeUndefined()
  })
})
