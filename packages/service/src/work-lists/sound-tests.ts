/** Tests that stand and are sound, as far as the reader may see them: what every list of plants is made of. */
import { type RawBuilder, sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Principal } from '../http/principal.ts'

type Tx = Transaction<Database>
type Reader = Pick<Principal, 'role'>

/** Soundness of the row `test`: for a program as it decided, for others what all its findings make of it. */
export const soundnessFor = ({ role }: Reader): RawBuilder<string> =>
  role === 'program'
    ? sql`soundness_for_program(test.id, test.soundness, test.findings)`
    : sql`worse_soundness(test.soundness,
        (select comparison.verdict from record_comparison comparison where comparison.test_id = test.id))`

/** That nothing took the place of the row `test`. */
export const STANDS = sql`not exists (select from test_closure closed where closed.test_id = test.id)`

/** Plants of a region, or all of them; the row is `plant`. */
export const inRegion = (region: string | undefined): RawBuilder<boolean> =>
  region === undefined ? sql`true` : sql`plant.region = ${region}`

export interface PlantRow {
  readonly id: string
  readonly code: string
  readonly kind: string
  readonly region: string | null
}

export interface EfficiencyRow {
  readonly plant_id: string
  readonly id: string
  readonly tested_on: string
  readonly edition: string
  readonly efficiency: number
  /** Half-width of its 95 % interval. */
  readonly efficiency_u: number
}

/** Rows of so many plants at once are held in memory. */
const PLANTS_AT_ONCE = 2_000

/** Plants with so many tests over so many days; whether they are sound is looked at later. Oldest id first. */
export async function plantsTested(
  tx: Tx,
  { tests, days, region }: { readonly tests: number; readonly days: number; readonly region: string | undefined },
): Promise<PlantRow[]> {
  const { rows } = await sql<PlantRow>`
    select plant.id, plant.code, plant.kind, plant.region from plant
    join (select plant_id from field_test group by plant_id
          having count(*) >= ${tests} and max(tested_on) - min(tested_on) >= ${days}) tested on tested.plant_id = plant.id
    where ${inRegion(region)}
    order by plant.id`.execute(tx)
  return rows
}

export interface PlantWith<Row> {
  readonly plant: PlantRow
  readonly rows: readonly Row[]
}

/** Reads what a query answers for plants, some at a time, and gives it plant by plant. */
export async function* ofPlants<Row extends { readonly plant_id: string }>(
  plants: readonly PlantRow[],
  read: (ids: readonly string[]) => Promise<readonly Row[]>,
): AsyncGenerator<PlantWith<Row>> {
  for (let from = 0; from < plants.length; from += PLANTS_AT_ONCE) {
    const some = plants.slice(from, from + PLANTS_AT_ONCE)
    const rows = Map.groupBy(await read(some.map(({ id }) => id)), ({ plant_id }) => plant_id)
    for (const plant of some) yield { plant, rows: rows.get(plant.id) ?? [] }
  }
}

/** Sound tests with an efficiency and its uncertainty, oldest first. */
export async function soundEfficiencies(tx: Tx, reader: Reader, plants: readonly string[]): Promise<EfficiencyRow[]> {
  const { rows } = await sql<EfficiencyRow>`
    select test.plant_id, test.id, test.tested_on, test.edition, test.efficiency, test.efficiency_u
    from field_test test
    where test.plant_id = any (${plants}::uuid[]) and test.efficiency is not null and test.efficiency_u > 0
      and ${STANDS} and ${soundnessFor(reader)} = 'sound'
    order by test.plant_id, test.tested_on, test.id`.execute(tx)
  return rows
}
