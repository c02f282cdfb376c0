import { describe, expect, test } from 'vitest'
import { judgeCheck } from './judge-check.ts'

type Facts = Parameters<typeof judgeCheck>[1]
const gauge: Facts = {
  kind: 'pressure-gauge',
  fullScale: { value: 100, unit: 'psi' },
  accuracy: { percent: 1, of: 'full-scale', stated: 'limit' },
}
const judge = (referenceValue: number, shownValue: number, unit: string, facts: Facts = gauge) =>
  judgeCheck({ referenceValue, shownValue, unit }, facts)

describe('a field check', () => {
  test.each([
    ['on the limit', 50, 51, 'within'],
    ['on the limit below', 50, 49, 'within'],
    ['on the limit by decimal text', 0.1, 1.1, 'within'],
    ['beyond it', 50, 51.001, 'outside'],
    ['beyond it below', 50, 48.9, 'outside'],
    ['without a difference', 50, 50, 'within'],
  ])('%s is %s of %s psi: %s', (_, reference, shown, outcome) => {
    const judged = judge(reference, shown, 'psi')
    expect(judged).toMatchObject({ outcome, allowed: 1 })
    expect(judged.difference).toBeCloseTo(shown - reference, 12)
  })

  test('in another unit is judged by the scale in that unit', () => {
    // 1 % of 100 psi is 6.894757 kPa: NIST Special Publication 811, appendix B.8 (2008): psi = 6.894 757 E+00 kPa.
    expect(judge(300, 306, 'kPa').allowed).toBeCloseTo(6.894757, 6)
    expect(judge(300, 306.89, 'kPa').outcome).toBe('within')
    expect(judge(300, 306.9, 'kPa').outcome).toBe('outside')
  })

  test('without a full scale is judged by the range, and by its lower end where that lies farther from zero', () => {
    const ranged = (low: number, high: number): Facts => ({
      kind: 'pressure-gauge',
      range: { low, high, unit: 'psi' },
      accuracy: gauge.accuracy!,
    })
    expect(judge(50, 51.5, 'psi', ranged(0, 160))).toMatchObject({ allowed: 1.6, outcome: 'within' })
    expect(judge(50, 51.7, 'psi', ranged(0, 160))).toMatchObject({ allowed: 1.6, outcome: 'outside' })
    expect(judge(-10, -10.2, 'psi', ranged(-15, 0))).toMatchObject({ allowed: 0.15, outcome: 'outside' })
    expect(judge(50, 51.5, 'psi', { ...gauge, ...ranged(0, 160), fullScale: gauge.fullScale! }).allowed).toBe(1)
  })

  test('by percent of the reading follows what the instrument showed', () => {
    const facts: Facts = { ...gauge, accuracy: { percent: 2, of: 'reading', stated: 'interval-95' } }
    expect(judge(49, 50, 'psi', facts)).toEqual({ difference: 1, allowed: 1, outcome: 'within' })
    expect(judge(-10, -10.3, 'psi', facts)).toMatchObject({ allowed: expect.closeTo(0.206), outcome: 'outside' })
  })

  test.each<[string, Facts]>([
    ['an accuracy', { kind: 'pressure-gauge', fullScale: { value: 100, unit: 'psi' } }],
    ['a scale that the accuracy is of', { accuracy: gauge.accuracy! }],
    ['anything', {}],
  ])('without %s is recorded, not judged', (_, facts) => {
    expect(judge(50, 51, 'psi', facts)).toEqual({ difference: 1, outcome: 'no-accuracy-stated' })
  })

  test.each([
    ['furlong', gauge],
    ['ft', gauge],
    ['psi', { resolution: { value: 0.1, unit: 'ft' } }],
    ['psi', { range: { low: 0, high: 100, unit: 'ft' }, accuracy: { percent: 1, of: 'reading', stated: 'limit' } }],
    ['gpm', { kind: 'pressure-gauge', accuracy: { percent: 1, of: 'reading', stated: 'limit' } }],
  ])('in %s is refused with the units that would do', (unit, facts) => {
    const refusal = { code: 'invalid-request', errors: [{ pointer: '/unit', code: 'unknown-unit' }] }
    let problem: unknown
    try {
      judge(50, 51, unit, facts as Facts)
    } catch (error) {
      problem = error
    }
    expect(problem).toMatchObject(refusal)
    const { errors } = problem as { errors: { allowed: string[] }[] }
    expect(errors[0]!.allowed).toContain('resolution' in facts || 'range' in facts ? 'in' : 'kPa')
    expect(errors[0]!.allowed).not.toContain(unit)
  })

  test('whose difference no double holds is refused', () => {
    expect(() => judge(-1.7e308, 1.7e308, 'psi')).toThrow(expect.objectContaining({ code: 'invalid-request' }))
  })
})
