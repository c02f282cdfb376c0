/** What is asked and told of keys. The hash never leaves the gate. */
import type { Kysely, Selectable, Transaction } from 'kysely'
import type { ApiKey, Database } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

const shown = [
  'id',
  'role',
  'firm_id',
  'program_id',
  'scopes',
  'name',
  'created_at',
  'expires_at',
  'revoked_at',
] as const

export type KeyRow = Omit<Selectable<ApiKey>, 'hash'>
export type GateRow = Selectable<ApiKey>

/** As the gate: everything about one key. */
export async function findForGate(gate: Kysely<Database>, id: string): Promise<GateRow | undefined> {
  return gate.selectFrom('api_key').selectAll().where('id', '=', id).executeTakeFirst()
}

export async function insertKey(tx: Transaction<Database>, row: GateRow): Promise<void> {
  await tx.insertInto('api_key').values(row).execute()
}

/** Keys in the order of their ids, which says nothing about their age. */
export async function listKeys(tx: Transaction<Database>, { after, limit }: Part): Promise<KeyRow[]> {
  return tx
    .selectFrom('api_key')
    .select(shown)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

/** Revokes a key; one that was revoked before keeps its time. Undefined if there is none. */
export async function revokeKey(tx: Transaction<Database>, id: string, at: Date): Promise<KeyRow | undefined> {
  await tx.updateTable('api_key').set({ revoked_at: at }).where('id', '=', id).where('revoked_at', 'is', null).execute()
  return tx.selectFrom('api_key').select(shown).where('id', '=', id).executeTakeFirst()
}
