/**
 * What is asked of the history of plants.
 *
 * Tests the caller may read come under its own policies. Figures of other firms' tests come from the database
 * function `shared_history` alone, whose role sees a test only while the grower's consent stands.
 */
import { type RawBuilder, type Selectable, sql, type Transaction } from 'kysely'
import type { Database, PlantHistoryConsent } from '../db/schema.ts'

type Tx = Transaction<Database>

export interface HistoryRow {
  readonly own: boolean
  readonly id: string
  readonly tested_on: string
  readonly edition: string
  readonly soundness: string
  readonly efficiency: number | null
  readonly efficiency_u: number | null
  readonly specific_capacity_m2_s: number | null
  readonly lift_m: number | null
  readonly flow_m3_s: number | null
  readonly head_m: number | null
  readonly input_power_w: number | null
  readonly energy_per_volume_j_m3: number | null
}

/** Day and id of the last test seen. */
export interface Day {
  readonly testedOn: string
  readonly id: string
}

export interface HistoryPart {
  readonly after?: Day | undefined
  readonly limit: number
  /** With what other firms share; for firms alone. */
  readonly shares: boolean
  /** With soundness as the program that asks decided; for programs alone. */
  readonly decides?: boolean
}

const BEGINNING: Day = { testedOn: '-infinity', id: '00000000-0000-0000-0000-000000000000' }

/** Whether the plant is there for the caller. */
export async function isPlantVisible(tx: Tx, plantId: string): Promise<boolean> {
  return (await tx.selectFrom('plant').select('id').where('id', '=', plantId).executeTakeFirst()) !== undefined
}

/** Tests of a plant, oldest first, without superseded and withdrawn ones. */
export async function listHistory(
  tx: Tx,
  plantId: string,
  { after = BEGINNING, limit, shares, decides = false }: HistoryPart,
): Promise<HistoryRow[]> {
  // As the program that reads decided; others see what the findings make of a test.
  const soundness = decides
    ? sql`soundness_for_program(id, soundness, findings)`
    : sql`worse_soundness(soundness, (select comparison.verdict from record_comparison comparison where comparison.test_id = test.id))`
  // Both parts stop at the limit, so that a page costs what it shows, however long the history is.
  const shared: RawBuilder<unknown> = sql`
    union all
    select false, id, tested_on, edition, soundness, efficiency, efficiency_u, specific_capacity_m2_s, lift_m,
           null, null, null, null
    from shared_history(${plantId}, ${after.testedOn}::date, ${after.id}::uuid, ${limit}::integer)`
  const { rows } = await sql<HistoryRow>`
    select * from (
      (select true as own, id, tested_on, edition, ${soundness} as soundness, efficiency, efficiency_u, specific_capacity_m2_s, lift_m,
              flow_m3_s, head_m, input_power_w, energy_per_volume_j_m3
       from field_test test
       where plant_id = ${plantId} and (tested_on, id) > (${after.testedOn}::date, ${after.id}::uuid)
         and not exists (select from test_closure closed where closed.test_id = test.id)
       order by tested_on, id
       limit ${limit})
      ${shares ? shared : sql``}
    ) seen
    order by tested_on, id
    limit ${limit}
  `.execute(tx)
  return rows
}

export type TurnRow = Omit<Selectable<PlantHistoryConsent>, 'key_id' | 'previous_turn' | 'from_firm'>

const turns = (tx: Tx, plantId: string) =>
  tx
    .selectFrom('plant_history_consent')
    .select(['plant_id', 'to_firm', 'turn', 'consent', 'consented_at', 'evidence', 'recorded_at'])
    .where('plant_id', '=', plantId)

export async function findLastTurn(tx: Tx, plantId: string, toFirm: string): Promise<TurnRow | undefined> {
  return turns(tx, plantId).where('to_firm', '=', toFirm).orderBy('turn', 'desc').limit(1).executeTakeFirst()
}

/** Adds a turn; answers false where another was added at the same moment. */
export async function insertTurn(
  tx: Tx,
  row: TurnRow & { readonly from_firm: string; readonly key_id: string },
): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('plant_history_consent')
    .values(row)
    .onConflict((conflict) => conflict.doNothing())
    .executeTakeFirst()
  return Number(numInsertedOrUpdatedRows) === 1
}

/** Turns by which the caller's firm shares its history of a plant, in order of firm and turn. */
export async function listTurns(
  tx: Tx,
  plantId: string,
  after: { readonly toFirm: string; readonly turn: number } | undefined,
  limit: number,
): Promise<TurnRow[]> {
  return turns(tx, plantId)
    .$if(after !== undefined, (query) =>
      query.where(sql<boolean>`(to_firm, turn) > (${after!.toFirm}::uuid, ${after!.turn}::smallint)`),
    )
    .orderBy('to_firm')
    .orderBy('turn')
    .limit(limit)
    .execute()
}
