/** The door for slices that append entries: they tell that there are more, and get receipts to give to the caller. */
import { type Entry, entryBytes, leafHash, type ReadLogEntry, type SigningKeyEntry } from '@liftledger/ledger'
import type { FastifyReply } from 'fastify'
import type pg from 'pg'
import type { Deps } from '../deps.ts'

export { ifUnlocked } from './transaction.ts'

/** An entry that is stored. */
export interface StoredEntry {
  readonly index: number
  readonly leafHash: Uint8Array
}

export interface LedgerAppends {
  /**
   * Entries that were stored in one batch, one after the other, are there: the tree will cover them within a second.
   * Answers a receipt for each, as JSON. Never throws: what is stored is stored.
   */
  appended(batch: readonly StoredEntry[]): (string | undefined)[]
}

/** What slices take that append entries. */
export interface LedgerDeps extends Deps {
  readonly ledger: LedgerAppends
}

/** An entry as it is stored: its canonical bytes, and the hash of its leaf. */
export interface SealedEntry {
  readonly bytes: Buffer
  readonly leaf: Buffer
}

/** Throws for an entry that must not be appended; see `entryBytes`. */
export function sealed(entry: Entry): SealedEntry {
  const bytes = entryBytes(entry)
  return { bytes: Buffer.from(bytes), leaf: Buffer.from(leafHash(bytes)) }
}

/** Header field of an answer that came with a receipt. */
const RECEIPT_FIELD = 'ledger-receipt'

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Of an operation that appends an entry: its answer comes with a receipt. */
    receipted?: true
  }
}

export const sendReceipt = (reply: FastifyReply, receipt: string | undefined): FastifyReply =>
  receipt === undefined ? reply : reply.header(RECEIPT_FIELD, receipt)

/** Gives the answer the receipt of the one entry it appended; none where nothing was appended. */
export function receiptFor(reply: FastifyReply, { ledger }: LedgerDeps, stored: StoredEntry | undefined): FastifyReply {
  return stored === undefined ? reply : sendReceipt(reply, ledger.appended([stored])[0])
}

/**
 * Calls a database function that appends an entry and answers its index; the entry and the hash of its leaf are its last
 * two values. Undefined where it appended nothing.
 */
export async function callAppending(
  pool: pg.Pool,
  call: { readonly name: string; readonly values: readonly unknown[] },
  entry: SealedEntry,
): Promise<StoredEntry | undefined> {
  const values = [...call.values, entry.bytes, entry.leaf]
  const { rows } = await pool.query<{ index: number | null }>({
    name: call.name,
    text: `select ll.${call.name}(${values.map((_, place) => `$${place + 1}`).join(', ')}) as index`,
    values,
  })
  const index = rows[0]?.index ?? null
  return index === null ? undefined : { index: Number(index), leafHash: entry.leaf }
}

/**
 * Appends an entry that concerns no firm, on a connection of the integrator. Numbered like every entry: the row of the
 * head is held until the commit.
 */
export async function appendEntry(client: pg.PoolClient, entry: SigningKeyEntry | ReadLogEntry): Promise<void> {
  const { bytes, leaf } = sealed(entry)
  await client.query(
    `with head as (update ll.ledger_head set next = next + 1 returning next - 1 as index)
     insert into ll.ledger_entry (index, leaf_hash, entry, kind)
     select index, $1, $2, $3 from head`,
    [leaf, bytes, entry.kind],
  )
}
