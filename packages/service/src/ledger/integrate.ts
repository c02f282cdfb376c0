/**
 * One step of the tree: reads the entries that it doesn't cover yet, writes the tiles that become full, and signs a
 * checkpoint, all in one transaction. Done again after a crash it writes the same.
 *
 * A signature is the log's word for what stands there. So before it is given everything is held against what was
 * signed before, and each new entry against its hash; where something doesn't fit, nothing is signed.
 */
import {
  type Checkpoint,
  checkpointBody,
  equalBytes,
  extend,
  formatVerifierKey,
  HASH_BYTES,
  leafHash,
  parseCheckpoint,
  parseNote,
  rootOf,
  type Signer,
  signNote,
  type TreeRange,
  VerificationError,
  verifyNote,
} from '@liftledger/ledger'
import type pg from 'pg'
import { byteaArray } from '../db/binary-array.ts'
import { type LogSigners, recordedKeys } from './key-record.ts'
import { readLevel } from './stored-tree.ts'
import { completedTiles, type FullTile, peakCount, TornTile } from './tiles.ts'
import { ifUnlocked } from './transaction.ts'

/** Something stored is not what was signed, or an entry is not what its hash says. Nothing was signed. */
export class RefusedToSign extends Error {
  constructor(reason: string) {
    super(reason)
    this.name = 'RefusedToSign'
  }
}

/** Another key came into force: to sign is for the processes that have it. */
export class KeyNotInForce extends Error {
  constructor(inForce: string) {
    super(`The key in force is ${inForce}; this process has another and leaves signing to those that have it.`)
    this.name = 'KeyNotInForce'
  }
}

export interface IntegrateOptions {
  readonly pool: pg.Pool
  readonly signers: LogSigners
  readonly now: () => Date
  /** The last checkpoint that this process knows of: the log never goes back behind it. */
  readonly seen: Pick<Checkpoint, 'size' | 'root'> | undefined
  /** Entries in one step at most. */
  readonly entriesMax?: number
}

export interface Step {
  /** What the newest checkpoint says now. */
  readonly covered: Pick<Checkpoint, 'size' | 'root'>
  readonly added: number
  /** There may be more entries than one step takes. */
  readonly more: boolean
}

const ENTRIES_MAX = 4_096

/**
 * Takes one step; undefined, without waiting, where another process is taking one.
 *
 * Throws {@link RefusedToSign} and {@link KeyNotInForce}; any other error is the database's.
 */
export async function integrate(options: IntegrateOptions): Promise<Step | undefined> {
  try {
    return await ifUnlocked(options.pool, (client) => step(client, options))
  } catch (error) {
    if (error instanceof TornTile) throw new RefusedToSign(`Stored ${error.message}.`)
    throw error
  }
}

async function step(
  client: pg.PoolClient,
  { signers, now, seen, entriesMax = ENTRIES_MAX }: IntegrateOptions,
): Promise<Step> {
  const before = await signedTree(client, signers, seen)
  const leafHashes = await newLeaves(client, before.size, entriesMax)
  const more = leafHashes.length === entriesMax
  if (leafHashes.length === 0) return { covered: { size: before.size, root: rootOf(before) }, added: 0, more }
  const after = extend(before, leafHashes)
  const covered = { size: after.size, root: rootOf(after) }
  const body = checkpointBody({ origin: signers.origin, ...covered })
  const note = signNote(body, [signers.current, ...besides(signers, now())])
  await writeTiles(client, await completedTiles(before, leafHashes, readLevel(client)))
  await writeCheckpoint(client, { before, after, root: covered.root, note, at: now() })
  return { covered, added: leafHashes.length, more }
}

const besides = ({ previous, previousUntil }: LogSigners, now: Date): Signer[] =>
  previous !== undefined && now < previousUntil ? [previous] : []

interface TreeRow {
  readonly size: number
  readonly peaks: Buffer
  readonly signedSize: number | null
  readonly root: Buffer | null
  readonly note: string | null
}

/** The tree as it is stored, held against the last checkpoint, the keys on record, and what this process saw. */
async function signedTree(
  client: pg.PoolClient,
  signers: LogSigners,
  seen: IntegrateOptions['seen'],
): Promise<TreeRange> {
  const { rows } = await client.query<TreeRow>(
    `select tree.size, tree.peaks, signed.size as "signedSize", signed.root, signed.note
     from ll.ledger_tree tree
     left join (select * from ll.ledger_checkpoint order by size desc limit 1) signed on true`,
  )
  const [row] = rows
  if (row === undefined) throw new RefusedToSign('The row that says how far the tree reaches is gone.')
  const keys = await recordedKeys(client)
  const inForce = keys.at(-1)?.text ?? 'none'
  if (inForce !== formatVerifierKey(signers.current.key)) throw new KeyNotInForce(inForce)
  const range = rangeOf(row)
  const root = rootOf(range)
  if ((row.signedSize ?? 0) !== range.size || (row.root !== null && !equalBytes(row.root, root))) {
    throw new RefusedToSign(
      `The stored tree of ${range.size} entries does not have the root of the last checkpoint, of ${row.signedSize ?? 0}.`,
    )
  }
  if (row.note !== null) await insistOnNote(row.note, { origin: signers.origin, size: range.size, root }, keys)
  if (seen !== undefined && (seen.size > range.size || (seen.size === range.size && !equalBytes(seen.root, root)))) {
    throw new RefusedToSign(
      `The last checkpoint of this process had ${seen.size} entries; what is stored, of ${range.size}, does not continue it.`,
    )
  }
  return range
}

function rangeOf({ size, peaks }: TreeRow): TreeRange {
  if (peaks.length !== peakCount(size) * HASH_BYTES) {
    throw new RefusedToSign(`A tree of ${size} entries has not ${peaks.length / HASH_BYTES} subtrees, as is stored.`)
  }
  return { size, peaks: Array.from({ length: peakCount(size) }, (_, i) => hashAt(peaks, i)) }
}

const hashAt = (hashes: Buffer, i: number): Uint8Array =>
  new Uint8Array(hashes.subarray(i * HASH_BYTES, (i + 1) * HASH_BYTES))

/** The note must say what its row says, and be signed by a key on record. */
async function insistOnNote(
  note: string,
  due: Checkpoint,
  keys: Awaited<ReturnType<typeof recordedKeys>>,
): Promise<void> {
  try {
    const said = parseCheckpoint(parseNote(note).body)
    if (said.origin !== due.origin || said.size !== due.size || !equalBytes(said.root, due.root)) {
      throw new RefusedToSign(`The last checkpoint says something else than its row, of ${due.size} entries.`)
    }
    await verifyNote(
      note,
      keys.map(({ key }) => key),
    )
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    throw new RefusedToSign(`The last checkpoint is not as it was signed: ${error.message}`)
  }
}

type EntryRow = [place: number, leafHash: Buffer, entry: Buffer]

/** Hashes of the entries from `size` on, each held against the bytes of its entry. */
async function newLeaves(client: pg.PoolClient, size: number, entriesMax: number): Promise<Uint8Array[]> {
  const { rows } = await client.query<EntryRow>({
    name: 'new_leaves',
    text: `select (index - $1)::integer, leaf_hash, entry from ll.ledger_entry
           where index >= $1 order by index limit $2`,
    values: [size, entriesMax],
    rowMode: 'array',
  })
  return rows.map(([place, stored, entry], due) => {
    if (place !== due) throw new RefusedToSign(`Entry ${size + due} is missing; the next one there is ${size + place}.`)
    const own = leafHash(entry)
    if (!equalBytes(own, stored)) throw new RefusedToSign(`Entry ${size + due} is not what its hash says.`)
    return own
  })
}

async function writeTiles(client: pg.PoolClient, tiles: readonly FullTile[]): Promise<void> {
  if (tiles.length === 0) return
  await client.query(
    `insert into ll.ledger_tile (level, index, hashes, root)
     select * from unnest($1::smallint[], $2::bigint[], $3::bytea[], $4::bytea[])`,
    [
      tiles.map(({ level }) => level),
      tiles.map(({ index }) => index),
      byteaArray(tiles.map(({ hashes }) => Buffer.concat(hashes))),
      byteaArray(tiles.map(({ root }) => Buffer.from(root))),
    ],
  )
}

async function writeCheckpoint(
  client: pg.PoolClient,
  { before, after, root, note, at }: { before: TreeRange; after: TreeRange; root: Uint8Array; note: string; at: Date },
): Promise<void> {
  const { rowCount } = await client.query(
    `with signed as (insert into ll.ledger_checkpoint (size, root, note, signed_at) values ($1, $2, $3, $4))
     update ll.ledger_tree set size = $1, peaks = $5 where size = $6`,
    [after.size, Buffer.from(root), note, at, Buffer.concat(after.peaks), before.size],
  )
  if (rowCount !== 1) throw new Error(`The tree is not at ${before.size} any more, though this process held the lock.`)
}
