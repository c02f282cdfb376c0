/** Standing levels through the routes: five wells, told to those who may see their tests. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Caller } from '../../../../tests/setup/service.ts'
import { startWorld, type World } from '../../../../tests/setup/wells.ts'
import type { StandingLevels } from './schemas.ts'

let world: World
beforeAll(async () => {
  world = await startWorld()
})
afterAll(() => world.service.close())

/** The water stands lower by so many feet. */
const deeper = (feet: number) => ({
  '/standingLevel/reading/value': Number((118.4 + feet).toFixed(1)),
  '/standingLevel/repeats': undefined,
})

const levels = (caller: Caller, query = '') =>
  world.read<StandingLevels>(caller, `/v1/work-lists/standing-levels${query}`)

describe('standing levels', () => {
  const WELLS = [1, 2, 3, 4, 5]

  test('are told of five wells of three customers, and withheld of fewer', async () => {
    for (const n of WELLS.slice(0, 4)) await well(n, n < 3 ? 'C-1' : 'C-2')
    expect((await levels('firmA', '?region=Sedge-Flats')).items).toEqual([
      { region: 'Sedge-Flats', season: 'march-to-may', withheld: 'too few' },
    ])
    // A fifth well, and still two customers: then a third.
    await well(5, 'C-2')
    expect((await levels('firmA', '?region=Sedge-Flats')).withheldRows).toBe(1)
    await world.service.call('firmA', `PATCH /v1/plants/${world.plantIds['SF-5']}`, {
      body: { reference: 'C-3' },
      headers: { 'content-type': 'application/merge-patch+json', 'if-match': await etagOf('SF-5') },
    })
    const { items, withheldRows, minimum } = await levels('auditor', '?region=Sedge-Flats')
    expect([withheldRows, minimum]).toEqual([0, { plants: 5, customers: 3 }])
    // Falls of 1 to 5 ft in a year of 365 days: 3 ft on average, t(4) = 2.776445 times √2.5/√5 ft on either side.
    const aYear = (feet: number) => (feet * 0.3048 * 365.2425) / 365
    expect(items).toMatchObject([
      { season: 'march-to-may', wells: 5, levels: 10, firstYear: 2025, lastYear: 2026, levelsAre: 'falling' },
    ])
    expect(items[0]!.changeMPerYear).toBeCloseTo(aYear(3), 9)
    expect(items[0]!.changeLow).toBeCloseTo(aYear(3 - 2.776445105 * Math.SQRT1_2), 8)
    expect(items[0]!.changeHigh).toBeCloseTo(aYear(3 + 2.776445105 * Math.SQRT1_2), 8)
  })

  test('of another season are a row of their own, and a well of one year tells nothing', async () => {
    await world.visit('SF-1', '2026-08-12', deeper(9))
    const { items, wellsLeftOut } = await levels('firmA', '?region=Sedge-Flats')
    expect(items).toHaveLength(1)
    expect(items[0]).toMatchObject({ season: 'march-to-may' })
    expect(wellsLeftOut).toBe(0)
    await world.plant('SF-6', 'C-4', 'Sedge-Flats')
    await world.visit('SF-6', '2026-05-12', deeper(8))
    const after = await levels('firmA', '?region=Sedge-Flats')
    expect(after.wellsLeftOut).toBe(1)
    expect(after.items).toEqual(items)
  })

  test('are a program’s of what it was given', async () => {
    expect((await levels('program', '?region=Sedge-Flats')).items).toEqual([])
    for (const n of WELLS) for (const year of [2025, 2026]) await world.give(world.tests[`SF-${n} ${year}-05-12`]!)
    const [own] = (await levels('program', '?region=Sedge-Flats')).items
    expect(own).toEqual((await levels('auditor', '?region=Sedge-Flats')).items[0])
    expect((await levels('firmB')).items).toEqual([])
  })

  /** Stands n feet lower in the second year. */
  async function well(n: number, customer: string): Promise<void> {
    await world.plant(`SF-${n}`, customer, 'Sedge-Flats')
    await world.visit(`SF-${n}`, '2025-05-12', deeper(0))
    await world.visit(`SF-${n}`, '2026-05-12', deeper(n))
  }
  const etagOf = async (code: string): Promise<string> =>
    String((await world.service.call('firmA', `GET /v1/plants/${world.plantIds[code]}`)).headers.etag)
})
