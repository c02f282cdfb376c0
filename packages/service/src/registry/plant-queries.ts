/** What is asked of plants: a firm sees those it has access to, an administrator sees all. */
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Database, FirmPlant, Plant, PlantEquipment } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

type Tx = Transaction<Database>

export interface PlantRow extends Selectable<Plant> {
  /** What the firm that asks calls the plant. */
  readonly reference: string | null
}

/** `firmId` is whose name for the plant is wanted; an administrator has none. */
const plants = (tx: Tx, firmId: string | undefined) =>
  tx
    .selectFrom('plant')
    .leftJoin('firm_plant as access', (join) =>
      join.onRef('access.plant_id', '=', 'plant.id').on('access.firm_id', '=', firmId ?? null),
    )
    .selectAll('plant')
    .select('access.reference')

export async function findPlant(tx: Tx, firmId: string | undefined, id: string): Promise<PlantRow | undefined> {
  return plants(tx, firmId).where('plant.id', '=', id).executeTakeFirst()
}

export async function findPlantByCode(tx: Tx, firmId: string | undefined, code: string): Promise<PlantRow | undefined> {
  return plants(tx, firmId).where('plant.code', '=', code).executeTakeFirst()
}

/** What plants are asked for by: the code, and the number of a meter in place on a day. */
export interface PlantFilter {
  readonly code?: string | undefined
  readonly meterNumber?: string | undefined
  /** Day on which the meter was in place. */
  readonly on: string
}

export async function listPlants(
  tx: Tx,
  firmId: string | undefined,
  { after, limit }: Part,
  { code, meterNumber, on }: PlantFilter,
): Promise<PlantRow[]> {
  return plants(tx, firmId)
    .$if(code !== undefined, (query) => query.where('plant.code', '=', code!))
    .$if(meterNumber !== undefined, (query) =>
      query.where(({ exists, selectFrom }) =>
        exists(
          selectFrom('plant_meter_word as meter')
            .select('meter.number')
            .whereRef('meter.plant_id', '=', 'plant.id')
            .where('meter.number', '=', meterNumber!)
            .where('meter.effective_from', '<=', on)
            .where(({ or, eb }) =>
              or([eb('meter.effective_until', 'is', null), eb('meter.effective_until', '>=', on)]),
            ),
        ),
      ),
    )
    .$if(after !== undefined, (query) => query.where('plant.id', '>', after!))
    .orderBy('plant.id')
    .limit(limit)
    .execute()
}

/** The plant and the firm's access to it. Without returning: a plant is visible only once the access row is there. */
export async function insertPlant(tx: Tx, row: Selectable<Plant>, reference: string | null): Promise<void> {
  await tx.insertInto('plant').values(row).execute()
  await insertAccess(tx, { firm_id: row.registered_by, plant_id: row.id, reference, created_at: row.created_at })
}

/** The firm's access, locked until the end of the transaction, so that its changes of the plant come one by one. */
export async function lockAccess(tx: Tx, firmId: string, plantId: string): Promise<void> {
  await tx
    .selectFrom('firm_plant')
    .select('plant_id')
    .where('firm_id', '=', firmId)
    .where('plant_id', '=', plantId)
    .forUpdate()
    .execute()
}

/** Changes the region if it is still `from`, and answers how many rows that met: none where the caller may not. */
export async function setRegion(tx: Tx, row: PlantRow, from: string | null): Promise<number> {
  const { numUpdatedRows } = await tx
    .updateTable('plant')
    .set({ region: row.region })
    .where('id', '=', row.id)
    .where('region', from === null ? 'is' : '=', from)
    .executeTakeFirst()
  return Number(numUpdatedRows)
}

export async function setReference(tx: Tx, firmId: string, plantId: string, reference: string | null): Promise<void> {
  await tx
    .updateTable('firm_plant')
    .set({ reference })
    .where('firm_id', '=', firmId)
    .where('plant_id', '=', plantId)
    .execute()
}

/** Gives access; does nothing where the firm has it. */
export async function insertAccess(tx: Tx, row: Selectable<FirmPlant>): Promise<void> {
  await tx
    .insertInto('firm_plant')
    .values(row)
    .onConflict((conflict) => conflict.doNothing())
    .execute()
}

export async function findAccess(tx: Tx, plantId: string, firmId: string): Promise<Selectable<FirmPlant> | undefined> {
  return tx
    .selectFrom('firm_plant')
    .selectAll()
    .where('plant_id', '=', plantId)
    .where('firm_id', '=', firmId)
    .executeTakeFirst()
}

/** Adds a revision of the plant's equipment and answers its number. */
export async function insertEquipment(
  tx: Tx,
  row: { plantId: string; effectiveFrom: string; facts: object; firmId: string; keyId: string; at: Date },
): Promise<number> {
  const { rows } = await sql<{ revision: number }>`
    insert into plant_equipment (plant_id, revision, effective_from, facts, recorded_by, key_id, recorded_at)
    select ${row.plantId}, coalesce(max(revision), 0) + 1, ${row.effectiveFrom}, ${JSON.stringify(row.facts)},
           ${row.firmId}, ${row.keyId}, ${row.at}
    from plant_equipment
    where plant_id = ${row.plantId}
    returning revision
  `.execute(tx)
  return rows[0]!.revision
}

export async function listEquipment(
  tx: Tx,
  plantId: string,
  after: number,
  limit: number,
): Promise<Pick<Selectable<PlantEquipment>, 'revision' | 'effective_from' | 'facts'>[]> {
  return tx
    .selectFrom('plant_equipment')
    .select(['revision', 'effective_from', 'facts'])
    .where('plant_id', '=', plantId)
    .where('revision', '>', after)
    .orderBy('revision')
    .limit(limit)
    .execute()
}
