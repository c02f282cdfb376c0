/**
 * Loads a stored test and evaluates it again: an answer is a replay of bytes whose hashes were checked, or the
 * bytes of an earlier answer that was one, of a test whose recorded hashes are still the same. Where the replay
 * differs, it is what was kept of the recorded evaluation.
 */

import { type Context, editionById, type Sheet } from '@liftledger/calc'
import type { Transaction } from 'kysely'
import { LRUCache } from 'lru-cache'
import type { Databases } from '../db/database.ts'
import { markOf, type Soundness, type Standing, type StoredTest, type TestAnswer } from '../db/read-tests.ts'
import type { Database } from '../db/schema.ts'
import { keepTag } from '../http/caching.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { sha256 } from '../http/sha256.ts'
import {
  type ComparedWithRecord,
  type FindingFromRecord,
  findingsFromRecord,
  NOT_COMPARED,
} from '../record-findings/told.ts'
import { findStoredTest } from './queries.ts'
import { findKept, type LoadedTest, type Recorded, recordedEvaluation } from './recorded.ts'

/**
 * What `calculate` makes of stored bytes. Bytes changed behind the service's back may be no sheet any more: then the
 * reader is told so, with `conflict`.
 */
export function fromStored<T>(testId: string, calculate: () => T): T {
  try {
    return calculate()
  } catch (cause) {
    if (cause instanceof Problem) throw cause
    const problem = new Problem(
      'conflict',
      `What is stored of test '${toWire('test', testId)}' can not be evaluated: it is not what was received, or a later version reads it differently. Its entry in the ledger tells which.`,
    )
    problem.cause = cause
    throw problem
  }
}

/** A test by its UUID. Throws `not-found` where the caller may not see it, `conflict` where it is no test any more. */
export async function loadTest(tx: Transaction<Database>, testId: string): Promise<LoadedTest> {
  const stored = await findStoredTest(tx, testId)
  if (stored === undefined) throw notFound('test', toWire('test', testId))
  return checkedTest(stored)
}

function insistOnHashes({ id, raw, rawSha256, context, contextSha256 }: StoredTest): void {
  if (sha256(raw).equals(rawSha256) && sha256(context).equals(contextSha256)) return
  throw new Problem(
    'conflict',
    `What is stored of test '${toWire('test', id)}' does not have the hash that was recorded: it is not what was received.`,
  )
}

/** A row, checked against its hashes. Throws `conflict` where it is no test any more. */
export function checkedTest(stored: StoredTest): LoadedTest {
  insistOnHashes(stored)
  return toLoaded(stored)
}

function toLoaded(stored: StoredTest): LoadedTest {
  const edition = editionById(stored.edition)
  if (edition === undefined)
    throw new Problem(
      'conflict',
      `Test '${toWire('test', stored.id)}' was evaluated under the edition ${stored.edition}, which this version of the service does not have; a later one does.`,
    )
  return fromStored(stored.id, () => ({
    stored,
    sheet: JSON.parse(stored.raw.toString('utf8')) as Sheet,
    context: JSON.parse(stored.context.toString('utf8')) as Context,
    edition,
  }))
}

/** A test as it is answered: what was recorded of it, and what became of it. */
export interface ReadTest extends LoadedTest, Recorded {
  readonly standing: Standing
  readonly record: ComparedWithRecord
}

/** A test by its UUID, whole and as it was submitted: what became of it since is left out. Throws `not-found` where the caller may not see it, `conflict` where it is no test any more. */
export async function readTest(tx: Transaction<Database>, testId: string): Promise<ReadTest> {
  const loaded = await loadTest(tx, testId)
  const recorded = await recordedEvaluation(loaded, () => findKept(tx, testId))
  const soundness = loaded.stored.soundness as Soundness
  return { ...loaded, ...recorded, standing: { soundness, successor: null, compared: null }, record: NOT_COMPARED }
}

/** Of a test: its row, or the bytes of an answer made from it; and the mark of the row. */
type HeldRow = { readonly mark: Buffer; readonly stored: StoredTest }
/** Bytes that tell what became of the test hold as long as that does not change. */
type HeldBytes = { readonly mark: Buffer; readonly bytes: Buffer; readonly standing: Standing }

const HELD_BYTES_MAX = 32 * 1024 * 1024
/** Of an entry, beside its bytes: the mark, the names, the objects around them. */
const ENTRY_BYTES = 600

const sameStanding = (one: Standing, other: Standing): boolean =>
  one.soundness === other.soundness &&
  one.successor === other.successor &&
  one.compared?.at.getTime() === other.compared?.at.getTime()

const recordOf = ({ compared }: Standing, findings: FindingFromRecord[]): ComparedWithRecord =>
  compared === null ? NOT_COMPARED : { compared: true, comparedAt: compared.at.toISOString(), findings }

type Reads = Pick<Databases, 'readTest' | 'asPrincipal'>
type Found = NonNullable<TestAnswer>

/**
 * Reads of single tests, for all readers. Whether a reader may see a test, and what became of it, is asked of the
 * database each time. What is held in memory spares the rest: the row with its sheet and context, and answers made
 * from them.
 */
export class TestReader {
  readonly #databases: Reads
  readonly #held: LRUCache<string, HeldRow | HeldBytes>

  constructor(databases: Reads, bytesMax = HELD_BYTES_MAX) {
    this.#databases = databases
    // What fills a tenth of all would push out too much for one.
    this.#held = new LRUCache({ maxSize: bytesMax, maxEntrySize: Math.floor(bytesMax / 10) })
  }

  /**
   * The answer of that name about a test: `make` gives its text, from nothing but the test as read and the name.
   *
   * Throws `not-found` where the principal may not see the test, `conflict` where it is no test any more.
   */
  async answer(principal: Principal, testId: string, name: string, make: (test: ReadTest) => string): Promise<Buffer> {
    const address = `${testId}/${name}`
    const held = this.#held.get(address) ?? this.#held.get(testId)
    const found = await this.#find(principal, testId, held?.mark)
    // Known can only be what was sent.
    if (found.stored === undefined && 'bytes' in held! && sameStanding(held.standing, found.standing)) return held.bytes
    const row = await this.#rowOf(principal, testId, found)
    // Others may have asked for the same in this turn.
    const other = this.#held.get(address)
    if (other !== undefined && 'bytes' in other && other.mark.equals(row.mark)) {
      if (sameStanding(other.standing, found.standing)) return other.bytes
    }
    return this.#make(principal, row, found.standing, { address, make })
  }

  /** The row of a test, its bytes checked against their hashes; nothing is evaluated. Throws as `answer` does. */
  async stored(principal: Principal, testId: string): Promise<StoredTest> {
    const found = await this.#find(principal, testId, this.#held.get(testId)?.mark)
    return (await this.#rowOf(principal, testId, found)).stored
  }

  async #find(principal: Principal, testId: string, mark: Buffer | undefined): Promise<Found> {
    const found = await this.#databases.readTest(principal, testId, mark)
    if (found === undefined) throw notFound('test', toWire('test', testId))
    return found
  }

  /** The row that was found, checked against its hashes, or the one held; asked for where neither is there. */
  async #rowOf(principal: Principal, testId: string, found: Found): Promise<HeldRow> {
    const held = this.#held.get(testId)
    if (found.stored === undefined && held !== undefined && 'stored' in held) return held
    const stored = found.stored ?? (await this.#find(principal, testId, undefined)).stored!
    insistOnHashes(stored)
    const row = { mark: markOf(stored), stored }
    this.#held.set(stored.id, row, { size: stored.raw.length + stored.context.length + ENTRY_BYTES })
    return row
  }

  #make(
    principal: Principal,
    { mark, stored }: HeldRow,
    standing: Standing,
    { address, make }: { readonly address: string; readonly make: (test: ReadTest) => string },
  ): Buffer | Promise<Buffer> {
    const loaded = toLoaded(stored)
    const bytesOf = (recorded: Recorded, beside: FindingFromRecord[]): Buffer => {
      const record = recordOf(standing, beside)
      return Buffer.from(fromStored(stored.id, () => make({ ...loaded, ...recorded, standing, record })))
    }
    const keep = (bytes: Buffer): Buffer => {
      keepTag(bytes)
      this.#held.set(address, { mark, bytes, standing }, { size: bytes.length + ENTRY_BYTES })
      return bytes
    }
    const asked = <T>(ask: (tx: Transaction<Database>) => Promise<T>): Promise<T> =>
      this.#databases.asPrincipal(principal, ask)
    // Few tests have any; of those it is the words that are fetched.
    const beside = standing.compared?.findings ? asked((tx) => findingsFromRecord(tx, stored.id)) : []
    const recorded = recordedEvaluation(loaded, () => asked((tx) => findKept(tx, stored.id)))
    // What differs is not held: it may agree again, or a document may be kept by then.
    if (recorded instanceof Promise) return Promise.all([recorded, beside]).then((both) => bytesOf(...both))
    if (beside instanceof Promise) {
      return beside.then((findings) => {
        const bytes = bytesOf(recorded, findings)
        // Fewer: the test was taken from this reader in between. Others have it still.
        return findings.length === standing.compared!.findings ? keep(bytes) : bytes
      })
    }
    return keep(bytesOf(recorded, beside))
  }
}
