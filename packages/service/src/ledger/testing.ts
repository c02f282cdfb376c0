/** Test help: signers, many entries at once, and a reader of its own that takes the log from what is stored. */
import { extend, leafHash, rootOf, type TreeRange, type VerifierKey } from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import type pg from 'pg'
import type { LogSigners } from './key-record.ts'
import type { NameSigner } from './keys.ts'

export const ORIGIN = 'liftledger.example'

/** A key of 32 equal bytes. */
export const keyOf =
  (byte: number): NameSigner =>
  (name) =>
    ed25519Signer(name, new Uint8Array(32).fill(byte))

export const signersOf = (byte: number, previous?: number): LogSigners => ({
  origin: ORIGIN,
  current: keyOf(byte)(ORIGIN),
  ...(previous !== undefined && { previous: keyOf(previous)(ORIGIN) }),
  previousUntil: new Date('2026-06-11T17:00:00.000Z'),
})

export const publicKeyOf = (byte: number): VerifierKey => keyOf(byte)(ORIGIN).key

/** Adds entries, made by the database itself; as a user who may write everything. */
export async function addEntries(client: pg.ClientBase, count: number): Promise<void> {
  if (count === 0) return
  await client.query(
    `with head as (update ll.ledger_head set next = next + $1 returning next - $1 as first),
     made as (select first + n as index, convert_to('{"kind":"test","n":' || first + n || '}', 'UTF8') as entry
              from head, generate_series(0, $1::bigint - 1) n)
     insert into ll.ledger_entry (index, leaf_hash, entry, kind)
     select index, sha256('\\x00'::bytea || entry), entry, 'test' from made`,
    [count],
  )
}

/** The root over the first `size` entries, made from their bytes alone. */
export async function rootFromEntries(client: pg.ClientBase, size: number): Promise<Uint8Array> {
  const { rows } = await client.query<{ entry: Buffer }>(
    'select entry from ll.ledger_entry where index < $1 order by index',
    [size],
  )
  const empty: TreeRange = { size: 0, peaks: [] }
  const range = extend(
    empty,
    rows.map(({ entry }) => leafHash(entry)),
  )
  return rootOf(range)
}
