import { describe, expect, test } from 'vitest'
import { latestEdition } from '../editions/list.ts'
import { changedVisit, contribution, powerBy } from '../testing.ts'

type Power = ReturnType<typeof powerBy<'meter-revolutions'>>

const timing = (revolutions: number, seconds: number): Power['timings'][number] => ({
  revolutions: { value: revolutions, unit: 'rev' },
  elapsed: { value: seconds, unit: 's' },
})
const withPower = (change: (power: Power) => void) =>
  changedVisit((sheet) => change(powerBy(sheet.runs[0], 'meter-revolutions')))
const withTimings = (...timings: Power['timings']) =>
  withPower((power) => {
    power.timings = timings
  })
/** Power of 72 Wh a revolution: Kh 1.8 with multiplier 40. */
const watts = (revolutions: number, seconds: number): number => (72 * 3600 * revolutions) / seconds
const REACTION = latestEdition.defaults['timing-reaction'].u

describe('input power by timing the meter’s disk', () => {
  test('is the mean of the timings’ powers, not of their counts and times', () => {
    const visit = withTimings(timing(10, 33.4), timing(20, 66), timing(5, 17))
    const mean = (watts(10, 33.4) + watts(20, 66) + watts(5, 17)) / 3
    expect(visit.result('input-power').value).toBeCloseTo(mean, 8)
    expect(visit.result('input-power').value).not.toBeCloseTo(watts(35, 116.4), 0)
  })

  test('may rest on one timing; then there is no spread', () => {
    const visit = withTimings(timing(10, 33.4))
    expect(visit.result('input-power').value).toBeCloseTo(watts(10, 33.4), 8)
    expect(visit.evaluation.results.map(({ quantity }) => quantity)).not.toContain('timing-spread')
    expect(contribution(visit.trace('input-power'), /timing-reaction/)).toBeCloseTo(
      (watts(10, 33.4) * REACTION) / 33.4,
      8,
    )
  })

  test('timings that agree are as uncertain as a hand at both ends: independent, so √n', () => {
    const visit = withTimings(timing(10, 33.4), timing(10, 33.4), timing(10, 33.4), timing(10, 33.4))
    const reaction = contribution(visit.trace('input-power'), /timing-reaction/)
    expect(reaction).toBeCloseTo((watts(10, 33.4) * REACTION) / 33.4 / 2, 8)
    expect(visit.result('input-power').degreesOfFreedom).toBeUndefined()
  })

  test('timings that scatter more are as uncertain as their scatter, which replaces the hand and never adds to it', () => {
    const visit = withTimings(timing(10, 32), timing(10, 33), timing(10, 34))
    const trace = visit.trace('input-power')
    const powers = [32, 33, 34].map((seconds) => watts(10, seconds))
    const mean = powers.reduce((sum, power) => sum + power, 0) / 3
    const deviation = Math.sqrt(powers.reduce((sum, power) => sum + (power - mean) ** 2, 0) / 2)
    expect(contribution(trace, /timing-scatter/)).toBeCloseTo(deviation / Math.sqrt(3), 8)
    expect(contribution(trace, /timing-reaction/)).toBe(0)
    expect(trace.components.find(({ id }) => id.endsWith('timing-scatter'))!.degreesOfFreedom).toBe(2)
  })

  test('the spread is largest less smallest over the mean', () => {
    const visit = withTimings(timing(10, 33.4), timing(10, 33.5), timing(10, 33.3))
    const spread = (watts(10, 33.3) - watts(10, 33.5)) / ((watts(10, 33.4) + watts(10, 33.5) + watts(10, 33.3)) / 3)
    expect(visit.result('timing-spread').value).toBeCloseTo(spread, 12)
  })

  test('a mechanical meter is known to one percent, as rectangular half-width', () => {
    const visit = changedVisit()
    const share = contribution(visit.trace('input-power'), /meter-class/) / visit.result('input-power').value
    expect(share).toBeCloseTo(0.01 / Math.sqrt(3), 12)
  })

  test('another load is subtracted only where it was measured', () => {
    const usual = changedVisit().result('input-power').value
    const measured = withPower((power) => {
      power.otherLoads = 'measured'
      power.otherLoad = { value: 1.5, unit: 'kW' }
    })
    expect(measured.result('input-power').value).toBeCloseTo(usual - 1500, 8)
    expect(contribution(measured.trace('input-power'), /other-load/)).toBeCloseTo(75, 8)
    for (const said of ['none', 'off', 'on-not-measured'] as const) {
      const visit = withPower((power) => {
        power.otherLoads = said
      })
      expect(visit.result('input-power').value).toBe(usual)
    }
  })

  test.each([
    ['the constant', (power: Power) => delete power.kh],
    ['the multiplier', (power: Power) => delete power.multiplier],
    ['every timing', (power: Power) => (power.timings = [])],
  ])('without %s there is no power, no efficiency and no cost', (_, change) => {
    const { evaluation } = withPower((power) => void change(power))
    const given = evaluation.results.map(({ quantity }) => quantity)
    for (const quantity of ['input-power', 'overall-plant-efficiency', 'energy-per-volume', 'cost-per-volume'])
      expect(given).not.toContain(quantity)
    expect(given).toContain('total-dynamic-head')
    expect(evaluation.handChecks).toEqual([])
    expect(evaluation.advice).toEqual([])
  })
})
