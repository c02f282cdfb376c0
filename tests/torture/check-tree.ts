/**
 * The tree held against the entries it is over, all of it made anew: each checkpoint that was ever signed is verified and
 * has the root that the entries give at its size, so that none contradicts another; the newest covers every entry; the
 * stored tiles are those of that tree and give its root.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import {
  extend,
  leafHash,
  parseCheckpoint,
  parseNote,
  parseVerifierKey,
  readFromTiles,
  rootAt,
  rootOf,
  TILE_WIDTH,
  type TreeRange,
  tilesOf,
  toHex,
  type VerifierKey,
  verifyNote,
} from '@liftledger/ledger'
import type pg from 'pg'

const PAGE = 5_000
const BETWEEN_LOOKS_MS = 50

export interface TreeVerdict {
  readonly faults: readonly string[]
  /** Checkpoints that were verified. */
  readonly checkpoints: number
  /** Seconds until the newest one covered all entries. */
  readonly coveredAfterS: number
}

/** `client` is a superuser's; the services go on, so that the tree can reach the last entry, for which it has `patienceMs`. */
export async function checkTree(client: pg.ClientBase, patienceMs: number): Promise<TreeVerdict> {
  const faults: string[] = []
  const coveredAfterS = await untilCovered(client, patienceMs, faults)
  const leaves = await readLeaves(client)
  const checkpoints = await checkCheckpoints(client, leaves, faults)
  await checkTiles(client, leaves, faults)
  return { faults, checkpoints, coveredAfterS }
}

async function untilCovered(client: pg.ClientBase, patienceMs: number, faults: string[]): Promise<number> {
  const started = performance.now()
  for (;;) {
    const { rows } = await client.query<{ covered: string; next: string }>(
      'select coalesce((select max(size) from ll.ledger_checkpoint), 0) as covered, (select next from ll.ledger_head) as next',
    )
    const [covered, next] = [Number(rows[0]!.covered), Number(rows[0]!.next)]
    const took = performance.now() - started
    if (covered === next) return took / 1000
    if (took > patienceMs || covered > next) {
      faults.push(`the newest checkpoint covers ${covered} of ${next} entries`)
      return took / 1000
    }
    await sleep(BETWEEN_LOOKS_MS)
  }
}

/** Hashes of all entries, from their bytes. */
async function readLeaves(client: pg.ClientBase): Promise<Uint8Array[]> {
  const leaves: Uint8Array[] = []
  let from = 0
  for (;;) {
    const { rows } = await client.query<{ index: string; entry: Buffer }>(
      `select index, entry from ll.ledger_entry where index >= $1 order by index limit ${PAGE}`,
      [from],
    )
    for (const { entry } of rows) leaves.push(leafHash(entry))
    if (rows.length < PAGE) return leaves
    from = Number(rows.at(-1)!.index) + 1
  }
}

async function keysOf(client: pg.ClientBase): Promise<VerifierKey[]> {
  const { rows } = await client.query<{ entry: Buffer }>(
    "select entry from ll.ledger_entry where kind = 'signing-key' order by index",
  )
  return rows.map(({ entry }) => parseVerifierKey((JSON.parse(entry.toString('utf8')) as { key: string }).key))
}

/** How many were verified. */
async function checkCheckpoints(
  client: pg.ClientBase,
  leaves: readonly Uint8Array[],
  faults: string[],
): Promise<number> {
  const keys = await keysOf(client)
  const { rows } = await client.query<{ size: string; note: string }>(
    'select size, note from ll.ledger_checkpoint order by size',
  )
  if (rows.length === 0) faults.push('no checkpoint was signed')
  let range: TreeRange = { size: 0, peaks: [] }
  for (const { size: stated, note } of rows) {
    try {
      await verifyNote(note, keys)
      const { size, root } = parseCheckpoint(parseNote(note).body)
      if (size !== Number(stated)) faults.push(`checkpoint ${stated} was signed over ${size} entries`)
      range = extend(range, leaves.slice(range.size, size))
      if (range.size !== size) faults.push(`checkpoint ${size} covers more than the ${range.size} entries there are`)
      else if (toHex(rootOf(range)) !== toHex(root)) faults.push(`checkpoint ${size} has another root than its entries`)
    } catch (error) {
      faults.push(`checkpoint ${stated}: ${error instanceof Error ? error.message : String(error)}`)
    }
  }
  return rows.length
}

interface TileRow {
  readonly level: number
  readonly index: string
  readonly hashes: Buffer
  readonly root: Buffer
}

/** Full tiles are stored, with their roots; the last one of each level is made of what lies below it. */
async function checkTiles(client: pg.ClientBase, leaves: readonly Uint8Array[], faults: string[]): Promise<void> {
  const { rows } = await client.query<TileRow>('select level, index, hashes, root from ll.ledger_tile')
  const stored = new Map(rows.map((row) => [`${row.level}/${row.index}`, row]))
  const tiles = tilesOf(leaves.length)
  const full = tiles.filter(({ width }) => width === TILE_WIDTH)
  const missing = full.filter(({ level, index }) => !stored.has(`${level}/${index}`))
  for (const { level, index } of missing) faults.push(`tile ${level}/${index} is not stored`)
  if (rows.length > full.length - missing.length) {
    faults.push(`${rows.length} tiles are stored, ${full.length} are full`)
  }
  if (missing.length > 0 || leaves.length === 0) return
  const hashAt = (level: number, index: number): Uint8Array =>
    level === 0 ? leaves[index]! : stored.get(`${level - 1}/${index}`)!.root
  const below = new Map(
    tiles.map(({ level, index, width }) => [
      `${level}/${index}`,
      Buffer.concat(Array.from({ length: width }, (_, place) => hashAt(level, index * TILE_WIDTH + place))),
    ]),
  )
  for (const { level, index } of full) {
    const name = `${level}/${index}`
    const { hashes, root } = stored.get(name)!
    if (!hashes.equals(below.get(name)!)) faults.push(`tile ${name} has other hashes than lie below it`)
    const own = rootOf(extend({ size: 0, peaks: [] }, partsOf(hashes)))
    if (!root.equals(own)) faults.push(`tile ${name} has another root than its hashes`)
  }
  const fromTiles = rootAt(
    leaves.length,
    readFromTiles(leaves.length, (level, index) => {
      const name = `${level}/${index}`
      return stored.get(name)?.hashes ?? below.get(name)!
    }),
  )
  const fromEntries = rootOf(extend({ size: 0, peaks: [] }, leaves))
  if (toHex(fromTiles) !== toHex(fromEntries)) faults.push('the tiles give another root than the entries')
}

const partsOf = (hashes: Buffer): Uint8Array[] =>
  Array.from({ length: hashes.length / 32 }, (_, i) => new Uint8Array(hashes.subarray(32 * i, 32 * i + 32)))
