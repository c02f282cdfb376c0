/** The narrow rows: what is known of a test for statistics, and what became of it. */
import type pg from 'pg'
import type { Place } from './dimensions.ts'
import type { WeightSource } from './rollup.ts'

/** A row as stored. */
export interface FactRow {
  readonly place: number
  readonly happened: 'test' | 'superseded' | 'withdrawn' | 'decided' | 'given' | 'taken-back' | 'compared'
  readonly ledger_size: number
  readonly test_id: string
  readonly firm_id: string
  readonly plant_id: string
  readonly program_id: string | null
  readonly soundness: Soundness | null
  readonly tester_id: string | null
  readonly tested_on: string | null
  readonly edition: string | null
  readonly groups: string | null
  readonly flow_m3_s: number | null
  readonly head_m: number | null
  readonly lift_m: number | null
  readonly input_power_w: number | null
  readonly efficiency: number | null
  readonly efficiency_u: number | null
  readonly specific_capacity_m2_s: number | null
  readonly energy_per_volume_j_m3: number | null
  readonly standing_level_m: number | null
  readonly annual_energy_j: number | null
  readonly annual_volume_m3: number | null
  readonly cost_per_volume: number | null
}
export type Soundness = 'sound' | 'in-question' | 'unsound'

export const FACT_COLUMNS = `place, happened, ledger_size, test_id, firm_id, plant_id, program_id, soundness, tester_id,
  tested_on, edition, groups, flow_m3_s, head_m, lift_m, input_power_w, efficiency, efficiency_u, specific_capacity_m2_s,
  energy_per_volume_j_m3, standing_level_m, annual_energy_j, annual_volume_m3, cost_per_volume`

export interface Grouped {
  readonly at: Place
  readonly weight: WeightSource
  readonly currency: string
}

/** Where a row of a test belongs. */
export function groupsOf(row: FactRow): Grouped {
  const [driver, kind, region, powerClass, flow, level, power, weight, currency] = row.groups!.split('|')
  const at = {
    driver: driver!,
    kind: kind!,
    region: region!,
    year: row.tested_on!.slice(0, 4),
    'power-class': powerClass!,
    'flow-method': flow!,
    'level-method': level!,
    'power-method': power!,
    firm: row.firm_id,
    tester: row.tester_id!,
    plant: row.plant_id,
  }
  return { at, weight: weight as WeightSource, currency: currency! }
}

/** All that happened at plants up to a place, plant by plant in its order. */
export async function factsOfPlants(
  client: pg.ClientBase | pg.Pool,
  plants: readonly string[],
  upTo: number,
): Promise<FactRow[]> {
  const { rows } = await client.query<FactRow>({
    name: 'facts_of_plants',
    text: `select ${FACT_COLUMNS} from ll.test_fact where plant_id = any ($1) and place <= $2 order by plant_id, place`,
    values: [plants, upTo],
  })
  return rows
}

/** Rows of one plant after another. */
export function* byPlant(rows: readonly FactRow[]): Generator<FactRow[]> {
  for (let from = 0; from < rows.length; ) {
    let to = from
    while (rows[to]?.plant_id === rows[from]!.plant_id) to += 1
    yield rows.slice(from, to)
    from = to
  }
}
