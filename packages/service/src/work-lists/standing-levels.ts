/** How standing levels change, by region and season, on the same wells. */
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Principal } from '../http/principal.ts'
import { DAYS_A_YEAR, dayNumber } from './days.ts'
import { type PanelPoint, type PanelSlope, panelSlope } from './panel-slope.ts'
import { SEASONS, type StandingLevelChange } from './schemas.ts'
import { inRegion, STANDS, soundnessFor } from './sound-tests.ts'

/** A standing level of a well on a day. */
export interface LevelRow {
  readonly plant_id: string
  readonly region: string
  readonly tested_on: string
  /** Depth to water below the datum, m. */
  readonly level_m: number
}

const NOT_STATED = 'not-stated'

/** Standing levels of sound tests, as far as the reader may see them. */
export async function soundLevels(
  tx: Transaction<Database>,
  reader: Principal,
  region: string | undefined,
): Promise<LevelRow[]> {
  const { rows } = await sql<LevelRow>`
    select plant.id as plant_id, coalesce(plant.region, ${NOT_STATED}) as region, test.tested_on,
           fact.standing_level_m as level_m
    from field_test test
    join test_fact fact on fact.test_id = test.id and fact.happened = 'test'
    join plant on plant.id = test.plant_id
    where plant.kind = 'well' and fact.standing_level_m is not null and ${inRegion(region)}
      and ${STANDS} and ${soundnessFor(reader)} = 'sound'`.execute(tx)
  return rows
}

type Season = StandingLevelChange['season']

/** Seasons of climatology: three whole months, the winter counted to the year it ends in (common practice). */
export function seasonOf(day: string): { readonly season: Season; readonly year: number } {
  const [year, month] = [Number(day.slice(0, 4)), Number(day.slice(5, 7))]
  return { season: SEASONS[Math.floor((month % 12) / 3)]!, year: month === 12 ? year + 1 : year }
}

export interface LevelGroup {
  readonly region: string
  readonly season: Season
  /** Wells with a level in two years or more; the slope is theirs. */
  readonly wells: readonly string[]
  readonly levels: number
  readonly firstYear: number
  readonly lastYear: number
  readonly slope: PanelSlope
}

interface YearOfWell extends PanelPoint {
  readonly plant: string
  readonly year: number
}

/** One level a well and year: the mean of those of the season, on their mean day. */
function yearsOf(rows: readonly LevelRow[]): YearOfWell[] {
  const byYear = Map.groupBy(rows, (row) => `${row.plant_id} ${seasonOf(row.tested_on).year}`)
  return [...byYear.values()].map((own) => ({
    plant: own[0]!.plant_id,
    year: seasonOf(own[0]!.tested_on).year,
    x: own.reduce((sum, row) => sum + dayNumber(row.tested_on), 0) / own.length / DAYS_A_YEAR,
    y: own.reduce((sum, row) => sum + row.level_m, 0) / own.length,
  }))
}

/** Pure. By region and season, in their order; what cannot tell of a change is left out and counted. */
export function changesOfLevels(rows: readonly LevelRow[]): {
  readonly groups: readonly LevelGroup[]
  readonly wellsLeftOut: number
} {
  const byGroup = Map.groupBy(
    rows,
    ({ region, tested_on }) => `${region} ${SEASONS.indexOf(seasonOf(tested_on).season)}`,
  )
  const used = new Set<string>()
  const groups = [...byGroup.values()].flatMap((own): LevelGroup[] => {
    const wells = [...Map.groupBy(yearsOf(own), ({ plant }) => plant)].filter(([, years]) => years.length > 1)
    const slope = panelSlope(wells.map(([, years]) => years))
    if (slope === undefined) return []
    const years = wells.flatMap(([, of]) => of.map(({ year }) => year))
    for (const [plant] of wells) used.add(plant)
    return [
      {
        region: own[0]!.region,
        season: seasonOf(own[0]!.tested_on).season,
        wells: wells.map(([plant]) => plant),
        levels: years.length,
        firstYear: Math.min(...years),
        lastYear: Math.max(...years),
        slope,
      },
    ]
  })
  const wellsLeftOut = new Set(rows.map(({ plant_id }) => plant_id).filter((plant) => !used.has(plant))).size
  return { groups, wellsLeftOut }
}
