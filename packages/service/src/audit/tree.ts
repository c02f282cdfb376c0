/**
 * The tree of the ledger, made anew from the entries and held against what is stored of it: tiles, how far it
 * reaches, and every checkpoint that was ever signed. A checkpoint whose root these entries give continues the one
 * before it, since the entries of both are the same.
 */
import {
  equalBytes,
  extend,
  HASH_BYTES,
  parseVerifierKey,
  rootOf,
  TILE_WIDTH,
  type TreeRange,
  VerificationError,
} from '@liftledger/ledger'
import { type CheckpointRow, checkNote, type KeyInForce } from './checkpoint.ts'
import { type Leaf, TABLE } from './entries.ts'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'

interface TileRow {
  readonly level: number
  readonly index: string
  readonly hashes: Buffer
  readonly root: Buffer
}

/** A full tile as the entries make it. */
interface TileDue {
  readonly level: number
  readonly index: number
  readonly hashes: readonly Uint8Array[]
  readonly root: Uint8Array
}

const EMPTY: TreeRange = { size: 0, peaks: [] }

/** Takes the leaves one after the other. Holds one open tile a level, however long the ledger is. */
export class TreeAudit {
  readonly #report: Report
  readonly #trusted: readonly string[] | undefined
  readonly #keys: KeyInForce[] = []
  readonly #open: Uint8Array[][] = []
  readonly #filled: number[] = []
  readonly #tiles: AsyncGenerator<TileRow>[] = []
  readonly #checkpoints: AsyncGenerator<CheckpointRow>
  readonly #reader: RecordReader
  #tile: (TileRow | undefined)[] = []
  #checkpoint: CheckpointRow | undefined
  #range = EMPTY
  /** Size of the last checkpoint whose root was right. */
  #vouched = 0
  #lost = false
  #newest = 0
  #peaksAtNewest = EMPTY
  /** Full tiles that a checkpoint has still to reach: until then the service has not written them. */
  #due: (TileDue & { readonly end: number })[] = []

  /** `trusted` are keys that the auditor brought: verifier keys as text. */
  constructor(reader: RecordReader, report: Report, trusted?: readonly string[]) {
    this.#reader = reader
    this.#report = report
    this.#trusted = trusted
    const sql = 'select size::text, root, note from ll.ledger_checkpoint order by ledger_checkpoint.size'
    this.#checkpoints = reader.rows<CheckpointRow>('ledger_checkpoint', sql)
  }

  async add(leaf: Leaf): Promise<void> {
    await this.#startTo(0)
    if (this.#range.size === 0) this.#checkpoint = (await this.#checkpoints.next()).value ?? undefined
    this.#noteKey(leaf)
    const hash = this.#checkHash(leaf)
    await this.#fill(0, hash)
    this.#range = extend(this.#range, [hash])
    await this.#checkCheckpoints(leaf.index + 1)
  }

  /** After the last leaf. */
  async end(): Promise<void> {
    if (this.#range.size === 0) this.#checkpoint = (await this.#checkpoints.next()).value ?? undefined
    for (let level = 0; level < this.#tiles.length; level++) await this.#reportSurplus(level, Number.MAX_SAFE_INTEGER)
    const newest = Math.max(this.#newest, await this.#beyond())
    const rows = await this.#reader.all<{ size: string; peaks: Buffer }>(
      'ledger_tree',
      'select size::text, peaks from ll.ledger_tree',
    )
    if (this.#reader.broken.has('ledger_tree') || this.#reader.broken.has('ledger_checkpoint')) return
    this.#checkReach(rows, newest)
  }

  #noteKey({ entry, index }: Leaf): void {
    if (entry?.kind !== 'signing-key') return
    const last = this.#keys.at(-1)
    const place = { table: TABLE, row: String(index) }
    if (entry.replaces !== last?.text) {
      const message = `Entry ${index} puts a key in force in place of ${entry.replaces ?? 'none'}; in force was ${last?.text ?? 'none'}.`
      this.#report({ code: 'key-order', ...place, message })
    }
    if (this.#trusted !== undefined && !this.#trusted.includes(entry.key)) {
      const message = `Entry ${index} puts ${entry.key} in force, which is none of the ${this.#trusted.length} given keys.`
      this.#report({ code: 'key-unknown', ...place, message })
    }
    try {
      this.#keys.push({ key: parseVerifierKey(entry.key), text: entry.key, since: index })
    } catch (error) {
      if (!(error instanceof VerificationError)) throw error
      this.#report({ code: 'key-order', ...place, message: `Entry ${index} names no key: ${error.message}` })
    }
  }

  /**
   * The hash that the tree was made of. Where bytes and hash differ, which of the two was changed a full tile tells;
   * without one the stored hash goes on, so that one changed entry does not make all later checkpoints look wrong.
   */
  #checkHash({ index, own, stored }: Leaf): Uint8Array {
    const kept = new Uint8Array(stored)
    if (equalBytes(own, kept)) return own
    const column = this.#inTile(index, own) ? 'leaf_hash' : 'entry'
    const place = { table: TABLE, row: String(index), column }
    const message = `Entry ${index} and its leaf hash do not belong together.`
    this.#report({ code: 'entry-not-its-hash', ...place, message })
    return column === 'leaf_hash' ? own : kept
  }

  #inTile(index: number, hash: Uint8Array): boolean {
    const tile = this.#tile[0]
    if (tile === undefined || Number(tile.index) !== Math.floor(index / TILE_WIDTH)) return false
    const at = (index % TILE_WIDTH) * HASH_BYTES
    return equalBytes(new Uint8Array(tile.hashes.subarray(at, at + HASH_BYTES)), hash)
  }

  /** Opens the stored tiles of a level. */
  async #startTo(level: number): Promise<void> {
    if (this.#tiles[level] !== undefined) return
    const sql = `select level, index::text, hashes, root from ll.ledger_tile
                 where level = ${level} order by ledger_tile.index`
    const rows = this.#reader.rows<TileRow>('ledger_tile', sql)
    this.#tiles[level] = rows
    this.#open[level] = []
    this.#filled[level] = 0
    this.#tile[level] = (await rows.next()).value ?? undefined
  }

  /** Adds a hash to the open tile of a level, and its root to the next level once it is full. */
  async #fill(level: number, hash: Uint8Array): Promise<void> {
    await this.#startTo(level)
    const open = this.#open[level]!
    open.push(hash)
    if (open.length < TILE_WIDTH) return
    const index = this.#filled[level]!
    this.#open[level] = []
    this.#filled[level] = index + 1
    const root = rootOf(extend(EMPTY, open))
    this.#due.push({ level, index, hashes: open, root, end: this.#range.size + 1 })
    await this.#fill(level + 1, root)
  }

  async #checkTiles(size: number): Promise<void> {
    const ready = this.#due.filter(({ end }) => end <= size)
    this.#due = this.#due.filter(({ end }) => end > size)
    for (const { level, index, hashes, root } of ready) {
      await this.#reportSurplus(level, index)
      const stored = this.#tile[level]
      const place = { table: 'ledger_tile', row: `${level}/${index}` }
      if (stored === undefined || Number(stored.index) !== index) {
        if (this.#reader.broken.has('ledger_tile')) continue
        const message = `Tile ${index} of level ${level} is missing, though a checkpoint covers it.`
        this.#report({ code: 'tile-missing', ...place, message })
        continue
      }
      this.#tile[level] = (await this.#tiles[level]!.next()).value ?? undefined
      this.#compareTile(stored, { level, index, hashes, root })
    }
  }

  #compareTile(stored: TileRow, { level, index, hashes, root }: TileDue): void {
    const place = { table: 'ledger_tile', row: `${level}/${index}` }
    const wrong = hashes.findIndex((hash, i) => !equalBytes(hash, hashAt(stored.hashes, i)))
    if (wrong >= 0 || stored.hashes.length !== TILE_WIDTH * HASH_BYTES) {
      const first = (index * TILE_WIDTH + Math.max(wrong, 0)) * TILE_WIDTH ** level
      const last = first + TILE_WIDTH ** level - 1
      const row = first === last ? String(first) : `${first}..${last}`
      const which = first === last ? `entry ${first}` : `entries ${first} to ${last}`
      const message = `Tile ${index} of level ${level} does not hold the hash of ${which}: the tile was changed, or what it was made of.`
      const others = hashes.flatMap((hash, i) =>
        level > 0 || i === wrong || equalBytes(hash, hashAt(stored.hashes, i))
          ? []
          : [{ table: TABLE, row: String(index * TILE_WIDTH + i) }],
      )
      this.#report({ code: 'tile-wrong', ...place, column: 'hashes', message, or: [{ table: TABLE, row }, ...others] })
    }
    if (!equalBytes(new Uint8Array(stored.root), root)) {
      const message = `The root of tile ${index} of level ${level} is not that of the entries beneath it.`
      this.#report({ code: 'tile-wrong', ...place, column: 'root', message })
    }
  }

  async #reportSurplus(level: number, before: number): Promise<void> {
    let stored = this.#tile[level]
    while (stored !== undefined && Number(stored.index) < before) {
      const message = `Tile ${stored.index} of level ${level} is stored, which no checkpoint covers, or a second time.`
      this.#report({ code: 'tile-surplus', table: 'ledger_tile', row: `${level}/${stored.index}`, message })
      stored = (await this.#tiles[level]!.next()).value ?? undefined
      this.#tile[level] = stored
    }
  }

  /** Checkpoints of this size, which the entries so far must have the root of. */
  async #checkCheckpoints(size: number): Promise<void> {
    let row = this.#checkpoint
    while (row !== undefined && Number(row.size) <= size) {
      await this.#checkCheckpoint(row, size)
      row = (await this.#checkpoints.next()).value ?? undefined
      this.#checkpoint = row
    }
  }

  async #checkCheckpoint(row: CheckpointRow, size: number): Promise<void> {
    const place = { table: 'ledger_checkpoint', row: row.size }
    const said = await checkNote(row, this.#keys, this.#report)
    this.#newest = Number(row.size)
    this.#peaksAtNewest = this.#range
    await this.#checkTiles(size)
    const root = rootOf(this.#range)
    const rightRow = equalBytes(new Uint8Array(row.root), root)
    if (Number(row.size) === this.#range.size && rightRow && (said === undefined || equalBytes(said, root))) {
      this.#vouched = this.#range.size
      return
    }
    // The signed text is what counts; a row that only repeats it wrongly was told of with the note.
    if (said !== undefined && equalBytes(said, root) && Number(row.size) === this.#range.size) return
    // Once entries went wrong, so do all later checkpoints.
    if (this.#lost) return
    this.#lost = true
    const message =
      `The checkpoint of ${row.size} entries was signed over others than those stored: between ${this.#vouched} and ` +
      `${size - 1} something was changed, taken out or put in, or the checkpoint was.`
    const or = [{ table: TABLE, row: `${this.#vouched}..${size - 1}` }]
    this.#report({ code: 'checkpoint-not-of-these-entries', ...place, message, or })
  }

  /** Checkpoints of more entries than there are. */
  async #beyond(): Promise<number> {
    let newest = 0
    while (this.#checkpoint !== undefined) {
      const { size } = this.#checkpoint
      newest = Number(size)
      await checkNote(this.#checkpoint, this.#keys, this.#report)
      const message = `A checkpoint covers ${size} entries; only ${this.#range.size} are there.`
      const or = [{ table: TABLE, row: `${this.#range.size}..${newest - 1}` }]
      this.#report({ code: 'checkpoint-not-of-these-entries', table: 'ledger_checkpoint', row: size, message, or })
      this.#checkpoint = (await this.#checkpoints.next()).value ?? undefined
    }
    return newest
  }

  #checkReach(rows: readonly { size: string; peaks: Buffer }[], newest: number): void {
    const place = { table: 'ledger_tree', row: 'true' }
    const [row] = rows
    if (row === undefined || rows.length > 1) {
      const message = `The row that says how far the tree reaches is there ${rows.length} times.`
      this.#report({ code: 'tree-wrong', ...place, message })
      return
    }
    if (Number(row.size) !== newest) {
      const message = `The tree is said to reach ${row.size} entries; the newest checkpoint covers ${newest}.`
      const or = [{ table: 'ledger_checkpoint', row: row.size }]
      this.#report({ code: 'checkpoint-missing', ...place, column: 'size', message, or })
      return
    }
    const due = Buffer.concat(this.#peaksAtNewest.peaks)
    if (newest === this.#peaksAtNewest.size && !due.equals(row.peaks)) {
      const message = `The stored subtrees of the tree of ${row.size} entries are not those of the entries.`
      this.#report({ code: 'tree-wrong', ...place, column: 'peaks', message })
    }
  }
}

const hashAt = (hashes: Buffer, i: number): Uint8Array =>
  new Uint8Array(hashes.subarray(i * HASH_BYTES, (i + 1) * HASH_BYTES))
