import { describe, expect, test } from 'vitest'
import { DAYS_A_YEAR, dayNumber } from './days.ts'
import { changesOfLevels, type LevelRow, seasonOf } from './standing-levels.ts'

const level = (plant_id: string, tested_on: string, level_m: number, region = 'North'): LevelRow => ({
  plant_id,
  region,
  tested_on,
  level_m,
})

test.each([
  ['2025-11-30', 'september-to-november', 2025],
  ['2025-12-01', 'december-to-february', 2026],
  ['2026-02-28', 'december-to-february', 2026],
  ['2026-03-01', 'march-to-may', 2026],
  ['2026-06-01', 'june-to-august', 2026],
])('%s is in %s of %i', (day, season, year) => {
  expect(seasonOf(day)).toEqual({ season, year })
})

describe('changes of levels', () => {
  test('compare a winter with the next, whichever side of the new year they were read', () => {
    const { groups } = changesOfLevels([level('a', '2024-12-20', 30), level('a', '2026-01-10', 31)])
    expect(groups).toMatchObject([{ season: 'december-to-february', wells: ['a'], firstYear: 2025, lastYear: 2026 }])
    const years = (dayNumber('2026-01-10') - dayNumber('2024-12-20')) / DAYS_A_YEAR
    expect(groups[0]!.slope.slope).toBeCloseTo(1 / years, 12)
  })

  test('do not take what a season does within a year for a change over the years', () => {
    const steady = [level('a', '2024-06-01', 30), level('a', '2024-08-30', 34), level('a', '2025-07-16', 32)]
    const { groups } = changesOfLevels(steady)
    expect(groups).toMatchObject([{ levels: 2, slope: { slope: expect.closeTo(0, 12) } }])
    expect(changesOfLevels(steady.slice(0, 2))).toEqual({ groups: [], wellsLeftOut: 1 })
  })

  test('keep regions and seasons apart, and count no well twice', () => {
    const of = (plant: string, month: string, region: string) =>
      [2024, 2025].map((year) => level(plant, `${year}-${month}-10`, year - 2000, region))
    const { groups, wellsLeftOut } = changesOfLevels([
      ...of('a', '04', 'North'),
      ...of('a', '10', 'North'),
      ...of('b', '04', 'South'),
      level('c', '2025-04-10', 50, 'South'),
    ])
    expect(groups.map(({ region, season, wells }) => [region, season, wells])).toEqual([
      ['North', 'march-to-may', ['a']],
      ['North', 'september-to-november', ['a']],
      ['South', 'march-to-may', ['b']],
    ])
    expect(wellsLeftOut).toBe(1)
  })
})
