/** What is asked of the utility meters of plants. */
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'

type Tx = Transaction<Database>

export interface MeterRow {
  readonly number: string
  readonly effective_from: string
  readonly effective_until: string | null
}

/** Adds the last word on a meter: a higher revision of the same plant, number and first day. */
export async function insertMeter(
  tx: Tx,
  row: MeterRow & {
    readonly plantId: string
    readonly withdrawn: boolean
    readonly firmId: string
    readonly keyId: string
    readonly at: Date
  },
): Promise<void> {
  await sql`
    insert into plant_meter (plant_id, number, effective_from, effective_until, revision, withdrawn,
                             recorded_by, key_id, recorded_at)
    select ${row.plantId}, ${row.number}, ${row.effective_from}, ${row.effective_until}, coalesce(max(revision), 0) + 1,
           ${row.withdrawn}, ${row.firmId}, ${row.keyId}, ${row.at}
    from plant_meter
    where plant_id = ${row.plantId} and number = ${row.number} and effective_from = ${row.effective_from}
  `.execute(tx)
}

/** Meters of a plant by the last word on each, in order of their first day and number. */
export async function listMeters(
  tx: Tx,
  plantId: string,
  after: { readonly from: string; readonly number: string } | undefined,
  limit: number,
): Promise<MeterRow[]> {
  const { rows } = await sql<MeterRow>`
    select number, effective_from, effective_until
    from plant_meter_word
    where plant_id = ${plantId}
      and (effective_from, number) > (${after?.from ?? '-infinity'}::date, ${after?.number ?? ''}::text)
    order by effective_from, number
    limit ${limit}
  `.execute(tx)
  return rows
}

/** Whether any firm's plant has the code, or a meter of the number in place on the day. Tells nothing else of it. */
export async function isPlantKnown(
  tx: Tx,
  asked: { readonly code?: string | undefined; readonly meterNumber?: string | undefined; readonly on: string },
): Promise<boolean> {
  const { rows } = await sql<{ known: boolean }>`
    select plant_known(${asked.code ?? null}, ${asked.meterNumber ?? null}, ${asked.on}) as known
  `.execute(tx)
  return rows[0]!.known
}
