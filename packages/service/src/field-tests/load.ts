/**
 * Loads a stored test and evaluates it again: an answer is a replay of bytes whose hashes were checked, or the
 * bytes of an earlier answer that was one, of a test whose recorded hashes are still the same.
 */

import { type Context, type Evaluation, editionById, evaluate, type MethodEdition, type Sheet } from '@liftledger/calc'
import { canonicalBytes, sha256 } from '@liftledger/ledger'
import type { Transaction } from 'kysely'
import { LRUCache } from 'lru-cache'
import type { Databases } from '../db/database.ts'
import { markOf, type StoredTest } from '../db/read-tests.ts'
import type { Database } from '../db/schema.ts'
import { keepTag } from '../http/caching.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { findStoredTest } from './queries.ts'
import type { FieldTest } from './schemas.ts'

export interface LoadedTest {
  readonly stored: StoredTest
  readonly sheet: Sheet
  readonly context: Context
  readonly edition: MethodEdition
}

/** Canonical bytes and hash of an evaluation. */
export function evaluationHash(evaluation: Evaluation): Buffer {
  return hashOf(canonicalBytes(evaluation))
}

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
  insistOnHashes(stored)
  return toLoaded(stored)
}

function insistOnHashes({ id, raw, rawSha256, context, contextSha256 }: StoredTest): void {
  if (hashOf(raw).equals(rawSha256) && hashOf(context).equals(contextSha256)) return
  throw new Problem(
    'conflict',
    `What is stored of test '${toWire('test', id)}' does not have the hash that was recorded: it is not what was received.`,
  )
}

const hashOf = (bytes: Uint8Array): Buffer => Buffer.from(sha256(bytes))

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

/** The evaluation of a loaded test, and whether it is the recorded one to the last bit. */
export function replay({ stored, sheet, context, edition }: LoadedTest): {
  evaluation: Evaluation
  outcome: FieldTest['replay']
} {
  return fromStored(stored.id, () => {
    const evaluation = evaluate(sheet, context, edition)
    const same = evaluationHash(evaluation).equals(stored.evaluationSha256)
    return { evaluation, outcome: same ? 'identical' : 'differs' }
  })
}

/** Of a test: its row, or the bytes of an answer made from it; and the mark of the row. */
type Held = { readonly mark: Buffer } & ({ readonly stored: StoredTest } | { readonly bytes: Buffer })

const HELD_BYTES_MAX = 32 * 1024 * 1024
/** Of an entry, beside its bytes: the mark, the names, the objects around them. */
const ENTRY_BYTES = 600

/**
 * Reads of single tests, for all readers. Whether a reader may see a test is asked of the database each time. What is
 * held in memory spares the rest: the row with its sheet and context, and answers made from them.
 */
export class TestReader {
  readonly #databases: Pick<Databases, 'readTest'>
  readonly #held: LRUCache<string, Held>

  constructor(databases: Pick<Databases, 'readTest'>, bytesMax = HELD_BYTES_MAX) {
    this.#databases = databases
    // What fills a tenth of all would push out too much for one.
    this.#held = new LRUCache({ maxSize: bytesMax, maxEntrySize: Math.floor(bytesMax / 10) })
  }

  /**
   * The answer of that name about a test: `make` gives its text, from nothing but the loaded test and the name.
   *
   * Throws `not-found` where the principal may not see the test, `conflict` where it is no test any more.
   */
  async answer(
    principal: Principal,
    testId: string,
    name: string,
    make: (loaded: LoadedTest) => string,
  ): Promise<Buffer> {
    const address = `${testId}/${name}`
    const held = this.#held.get(address) ?? this.#held.get(testId)
    const found = await this.#databases.readTest(principal, testId, held?.mark)
    if (found === undefined) throw notFound('test', toWire('test', testId))
    if (found !== 'known') return this.#make(this.#take(found), address, make)
    // Known can only be what was sent.
    return 'bytes' in held! ? held.bytes : this.#make(held!, address, make)
  }

  /** Checks a row against its hashes, and holds it. */
  #take(stored: StoredTest): Held & { readonly stored: StoredTest } {
    insistOnHashes(stored)
    const held = { mark: markOf(stored), stored }
    this.#held.set(stored.id, held, { size: stored.raw.length + stored.context.length + ENTRY_BYTES })
    return held
  }

  #make(
    { mark, stored }: Held & { readonly stored: StoredTest },
    address: string,
    make: (loaded: LoadedTest) => string,
  ): Buffer {
    // Others may have asked for the same in this turn.
    const other = this.#held.get(address)
    if (other !== undefined && 'bytes' in other && other.mark.equals(mark)) return other.bytes
    const bytes = Buffer.from(fromStored(stored.id, () => make(toLoaded(stored))))
    keepTag(bytes)
    this.#held.set(address, { mark, bytes }, { size: bytes.length + ENTRY_BYTES })
    return bytes
  }
}
