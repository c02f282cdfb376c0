import { describe, expect, test } from 'vitest'
import { latestEdition } from '../editions/list.ts'
import { changedVisit, contribution, sounded } from '../testing.ts'
import { fromSi, toSi } from '../units.ts'

const feet = (value: number) => ({ value, unit: 'ft' as const })
const FOOT = 0.3048
const { defaults } = latestEdition
const SOUNDER = 'instrument/sounder-a'

describe('levels by electric sounder', () => {
  const usual = changedVisit()

  test('one sounder for both levels: its offset cancels in the drawdown, its scale acts on the difference', () => {
    const trace = usual.trace('drawdown')
    expect(contribution(trace, /sounder-offset/)).toBe(0)
    expect(contribution(trace, /sounder-scale/)).toBeCloseTo(defaults['sounder-scale'].u * 23.3 * FOOT, 12)
    // Both act in full on a level alone.
    const level = usual.trace('pumping-water-level')
    expect(contribution(level, /sounder-offset/)).toBeCloseTo(defaults['sounder-offset'].u, 12)
    expect(contribution(level, /sounder-scale/)).toBeCloseTo(defaults['sounder-scale'].u * 141.7 * FOOT, 12)
  })

  test('two sounders: nothing cancels, and the drawdown is less sure', () => {
    const other = changedVisit((sheet) => {
      sounded(sheet.standingLevel).reading.instrument = 'sounder-b'
    })
    const offsets = contribution(other.trace('drawdown'), /sounder-offset/)
    expect(offsets).toBeCloseTo(defaults['sounder-offset'].u * Math.SQRT2, 12)
    const scales = contribution(other.trace('drawdown'), /sounder-scale/)
    expect(scales).toBeCloseTo(defaults['sounder-scale'].u * Math.hypot(118.4, 141.7) * FOOT, 12)
    expect(other.result('drawdown').standardUncertainty).toBeGreaterThan(usual.result('drawdown').standardUncertainty)
  })

  test('a sounder that is not named is still one sounder', () => {
    const unnamed = changedVisit((sheet) => {
      delete sheet.instruments!.level
    })
    expect(contribution(unnamed.trace('drawdown'), /sounder-offset/)).toBe(0)
    expect(contribution(unnamed.trace('pumping-water-level'), 'edition/sounder-offset')).toBeGreaterThan(0)
  })

  test('runs share the sounder too', () => {
    const visit = changedVisit((sheet) => {
      sheet.runs.push(structuredClone(sheet.runs[0]!))
    })
    const [first, second] = [0, 1].map((run) => visit.trace('pumping-water-level', run))
    for (const trace of [first!, second!]) expect(contribution(trace, SOUNDER)).toBeGreaterThan(0)
    expect(visit.result('drawdown', 1)).toEqual({ ...visit.result('drawdown', 0), run: 1 })
  })

  test('a measuring point above the datum is subtracted, one below is added', () => {
    for (const [above, level] of [
      [0.4, 141.3],
      [-0.6, 142.3],
    ]) {
      const visit = changedVisit((sheet) => {
        sheet.runs[0]!.pumpingLevel!.measuringPointAboveDatum = feet(above!)
      })
      expect(fromSi(visit.result('pumping-water-level').value, 'ft', 'length')).toBeCloseTo(level!, 10)
    }
  })

  test('the level is the reading, whatever the series before it', () => {
    const visit = changedVisit((sheet) => {
      for (const level of sounded(sheet.runs[0]!.pumpingLevel).series!) level.value -= 10
    })
    expect(visit.result('lift')).toEqual(usual.result('lift'))
  })

  test('an artesian level stands above the datum: its depth is negative', () => {
    const visit = changedVisit((sheet) => {
      sounded(sheet.standingLevel).reading.value = -3.5
      sounded(sheet.standingLevel).repeats = []
    })
    expect(fromSi(visit.result('standing-water-level').value, 'ft', 'length')).toBeCloseTo(-3.5, 12)
    expect(fromSi(visit.result('drawdown').value, 'ft', 'length')).toBeCloseTo(145.2, 10)
  })

  test('repeats within one step of the tape say no more than the step', () => {
    const trace = usual.trace('standing-water-level')
    expect(contribution(trace, /level-repeats/)).toBe(0)
    expect(contribution(trace, /level-resolution/)).toBeCloseTo((0.1 * FOOT) / Math.sqrt(12), 12)
  })

  test('repeats further apart replace the step, with n − 1 degrees of freedom', () => {
    const visit = changedVisit((sheet) => {
      sounded(sheet.standingLevel).repeats = [118.2, 118.4, 118.6].map(feet)
    })
    const trace = visit.trace('standing-water-level')
    expect(contribution(trace, /level-resolution/)).toBe(0)
    expect(contribution(trace, /level-repeats/)).toBeCloseTo((0.2 * FOOT) / Math.sqrt(3), 12)
    expect(trace.components.find(({ id }) => id.endsWith('#level-repeats'))!.degreesOfFreedom).toBe(2)
  })

  test('an accuracy on record replaces the default scale: a limit over √3, a 95 % interval over 1.96', () => {
    for (const [stated, divisor] of [
      ['limit', Math.sqrt(3)],
      ['interval-95', 1.96],
    ] as const) {
      const visit = changedVisit((_, { instruments }) => {
        instruments.find(({ code }) => code === 'sounder-a')!.accuracy = { percent: 0.2, of: 'reading', stated }
      })
      const scale = contribution(visit.trace('pumping-water-level'), /sounder-scale/)
      expect(scale / ((0.002 / divisor) * 141.7 * FOOT)).toBeCloseTo(1, 4)
    }
  })

  test('specific capacity is given only where the drawdown stands clear of its uncertainty', () => {
    const with3 = (drawdown: number) =>
      changedVisit((sheet) => {
        sounded(sheet.standingLevel).reading.value = 141.7 - drawdown
        sounded(sheet.standingLevel).repeats = []
      })
    // Steps of 0.1 ft on both levels make 0.041 ft.
    expect(with3(0.2).result('specific-capacity').value).toBeGreaterThan(0)
    for (const drawdown of [0.1, 0, -4]) {
      const { evaluation } = with3(drawdown)
      expect(evaluation.results.map(({ quantity }) => quantity)).not.toContain('specific-capacity')
    }
    expect(with3(0.1).evaluation.withheld).toContainEqual({
      run: 0,
      quantity: 'specific-capacity',
      because: 'not-resolved',
    })
  })

  test('metres are taken as metres', () => {
    const visit = changedVisit((sheet) => {
      sounded(sheet.runs[0]!.pumpingLevel).reading = { value: 43.19016, unit: 'm' }
    })
    expect(visit.result('pumping-water-level').value).toBe(43.19016)
    expect(toSi(feet(141.7), 'length')).toBeCloseTo(43.19016, 12)
  })
})
