/** A firm gets access to a plant that another registered. */
import type { Selectable, Transaction } from 'kysely'
import type { Database, FirmPlant } from '../db/schema.ts'
import { toWire } from '../http/ids.ts'
import { type Author, recordChange } from './changes.ts'
import { findAccess, insertAccess } from './plant-queries.ts'

/** Gives access, and keeps that it was given, for the firm to see; changes nothing where the firm has it. */
export async function giveAccess(
  tx: Transaction<Database>,
  author: Author,
  { firmId, plantId }: { readonly firmId: string; readonly plantId: string },
): Promise<Selectable<FirmPlant>> {
  const had = await findAccess(tx, plantId, firmId)
  if (had !== undefined) return had
  const row = { firm_id: firmId, plant_id: plantId, reference: null, created_at: author.at }
  await insertAccess(tx, row)
  const changes = [{ member: 'access', change: 'set', to: { firmId: toWire('firm', firmId) } }] as const
  await recordChange(tx, author, { noun: 'plant', subject: plantId, deed: 'access-given', changes, firmId })
  return row
}
