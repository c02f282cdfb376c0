/** Readings that two sheets share, beside honest sheets that share none. */
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { type NoisyReading, noisyReadings } from './noisy-readings.ts'
import { equalRun, movedRun, shareAtSamePlace, windowTexts } from './readings-in-common.ts'
import type { Sheet } from './sheet.ts'

const readingsOf = (name: string): NoisyReading[] => {
  const file = new URL(`../../../tests/golden/2026-1/${name}.json`, import.meta.url)
  return noisyReadings((JSON.parse(readFileSync(file, 'utf8')) as { sheet: Sheet }).sheet)
}

/** Columns of one diameter. */
const columns = (...values: number[]): NoisyReading[] =>
  values.map((value) => ({
    kind: 'column',
    group: '/runs/0/flow/diameters/0/points',
    value,
    unit: 'in',
    step: 0.05,
    stepStated: true,
  }))
const EIGHT = [2.45, 3.45, 4.1, 4.7, 5.35, 5.6, 4.95, 4.45]

describe('readings that scatter', () => {
  test('are the levels, columns and timings of a sheet, in its order and with the step that it states', () => {
    const readings = readingsOf('SHEET-01')
    expect([...new Set(readings.map(({ kind }) => kind))]).toEqual(['level', 'column', 'timing'])
    expect(new Set(readings.filter(({ kind }) => kind === 'column').map(({ step }) => step))).toEqual(new Set([0.05]))
  })
})

describe('equal runs', () => {
  test('a traverse and timings that were used again stand out by many orders of magnitude', () => {
    const run = equalRun(readingsOf('FAULT-01'), readingsOf('SHEET-01'))!
    expect(run.count).toBeGreaterThanOrEqual(22)
    expect(run.surprise).toBeGreaterThan(12)
  })

  test.each([
    ['SHEET-01', 'SHEET-02'],
    ['SHEET-12A', 'SHEET-12B'],
    ['SHEET-01', 'SHEET-12A'],
  ])('%s and %s share nothing that stands out', (own, other) => {
    expect(equalRun(readingsOf(own), readingsOf(other))?.surprise ?? 0).toBeLessThan(6)
    expect(movedRun(readingsOf(own), readingsOf(other))?.surprise ?? 0).toBeLessThan(7)
  })

  test('one reading of another unit or kind ends a run', () => {
    const other = columns(...EIGHT)
    other[4] = { ...other[4]!, unit: 'mm' }
    expect(equalRun(columns(...EIGHT), other)).toMatchObject({ count: 4, from: 0, fromOther: 0 })
  })

  test('a level that stands still counts once, however often it was read', () => {
    const levels = (count: number): NoisyReading[] =>
      new Array(count).fill({
        kind: 'level',
        group: '/runs/0/pumpingLevel/series',
        value: 143.6,
        unit: 'ft',
        step: 0.1,
      })
    const once = equalRun(levels(1), levels(1))!.surprise
    expect(equalRun(levels(9), levels(9))!.surprise).toBe(once)
  })

  test('a run is found wherever it stands in the other sheet', () => {
    expect(equalRun(columns(...EIGHT), columns(1, 1.3, 1.7, ...EIGHT))).toMatchObject({
      count: 8,
      from: 0,
      fromOther: 3,
    })
  })
})

describe('moved runs', () => {
  test('eight readings with 0.35 added are found with what was added', () => {
    const moved = columns(...EIGHT.map((value) => Number((value + 0.35).toFixed(2))))
    expect(movedRun(moved, columns(...EIGHT))).toMatchObject({ count: 8, moved: { by: 'constant', value: 0.35 } })
  })

  test('readings multiplied by 1.2 and rounded to the scale are found with the factor', () => {
    const moved = columns(...EIGHT.map((value) => Number((Math.round((value * 1.2) / 0.05) * 0.05).toFixed(2))))
    const run = movedRun(moved, columns(...EIGHT))!
    expect(run).toMatchObject({ count: 8, moved: { by: 'factor' } })
    expect(run.moved!.value).toBeCloseTo(1.2, 2)
  })

  test.each<[string, number[], number[]]>([
    ['seven are too few', EIGHT.slice(1).map((value) => value + 1), EIGHT.slice(1)],
    ['equal ones were not moved', EIGHT, EIGHT],
    ['eight times the same reading', new Array(8).fill(4), new Array(8).fill(5)],
    ['one that does not follow', EIGHT.map((value, i) => value + (i === 4 ? 1.5 : 1)), EIGHT],
  ])('%s', (_, own, other) => {
    expect(movedRun(columns(...own), columns(...other))).toBeUndefined()
  })
})

describe('share at the same place', () => {
  test('counts equal readings over those of the shorter sheet', () => {
    expect(shareAtSamePlace(columns(1, 2, 3, 4), columns(1, 2, 3.5, 4, 5))).toBe(0.75)
    expect(shareAtSamePlace([], columns(1))).toBe(0)
  })
})

describe('windows for an index', () => {
  const common = (a: NoisyReading[], b: NoisyReading[]) => {
    const known = new Set(windowTexts(b))
    return windowTexts(a).filter((text) => known.has(text))
  }

  test('sheets that share eight readings share a window, and honest ones none', () => {
    expect(common(readingsOf('FAULT-01'), readingsOf('SHEET-01')).length).toBeGreaterThan(0)
    expect(common(readingsOf('SHEET-12A'), readingsOf('SHEET-12B'))).toEqual([])
  })

  test('eight readings moved by a constant share a window of their differences only', () => {
    const found = common(columns(...EIGHT.map((value) => value + 1)), columns(...EIGHT))
    expect(found).toHaveLength(1)
    expect(found[0]).toMatch(/^moved column in /)
  })
})
