/** What is asked and told of keys and of token principals. The hash never leaves the gate. */
import type { Kysely, Selectable, Transaction } from 'kysely'
import type { ApiKey, Database, TokenPrincipal } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

const shown = [
  'id',
  'role',
  'firm_id',
  'program_id',
  'scopes',
  'name',
  'holder',
  'created_at',
  'expires_at',
  'revoked_at',
  'replaced_by',
] as const

export type KeyRow = Omit<Selectable<ApiKey>, 'hash'>
export type GateRow = Selectable<ApiKey>
export type TokenPrincipalRow = Selectable<TokenPrincipal>

/** As the gate: everything about one key. */
export async function findForGate(gate: Kysely<Database>, id: string): Promise<GateRow | undefined> {
  return gate.selectFrom('api_key').selectAll().where('id', '=', id).executeTakeFirst()
}

/** As the gate: whom a subject of an issuer stands for at present. */
export async function findTokenPrincipal(
  gate: Kysely<Database>,
  { issuer, subject }: { readonly issuer: string; readonly subject: string },
): Promise<TokenPrincipalRow | undefined> {
  return gate
    .selectFrom('token_principal')
    .selectAll()
    .where('issuer', '=', issuer)
    .where('subject', '=', subject)
    .where('removed_at', 'is', null)
    .executeTakeFirst()
}

export async function findKey(tx: Transaction<Database>, id: string): Promise<KeyRow | undefined> {
  return tx.selectFrom('api_key').select(shown).where('id', '=', id).executeTakeFirst()
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
  return findKey(tx, id)
}

/** Names a key's successor and its end. False where it was revoked, replaced or over before; then nothing changed. */
export async function replaceKey(
  tx: Transaction<Database>,
  id: string,
  { by, endsAt, at }: { readonly by: string; readonly endsAt: Date; readonly at: Date },
): Promise<boolean> {
  const { numUpdatedRows } = await tx
    .updateTable('api_key')
    .set({ replaced_by: by, expires_at: endsAt })
    .where('id', '=', id)
    .where('revoked_at', 'is', null)
    .where('replaced_by', 'is', null)
    .where('expires_at', '>', at)
    .executeTakeFirst()
  return numUpdatedRows === 1n
}

/** Inserts unless the subject has a principal already. */
export async function insertTokenPrincipal(tx: Transaction<Database>, row: TokenPrincipalRow): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('token_principal')
    .values(row)
    .onConflict((conflict) => conflict.columns(['issuer', 'subject']).where('removed_at', 'is', null).doNothing())
    .executeTakeFirst()
  return numInsertedOrUpdatedRows === 1n
}

/** In the order of their ids, removed ones too. */
export async function listTokenPrincipals(
  tx: Transaction<Database>,
  { after, limit }: Part,
): Promise<TokenPrincipalRow[]> {
  return tx
    .selectFrom('token_principal')
    .selectAll()
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

/** Removes a principal; one that was removed before keeps its time. Undefined if there is none. */
export async function removeTokenPrincipal(
  tx: Transaction<Database>,
  id: string,
  at: Date,
): Promise<TokenPrincipalRow | undefined> {
  await tx
    .updateTable('token_principal')
    .set({ removed_at: at })
    .where('id', '=', id)
    .where('removed_at', 'is', null)
    .execute()
  return readTokenPrincipal(tx, id)
}

export async function readTokenPrincipal(
  tx: Transaction<Database>,
  id: string,
): Promise<TokenPrincipalRow | undefined> {
  return tx.selectFrom('token_principal').selectAll().where('id', '=', id).executeTakeFirst()
}
