/**
 * Keeps the evaluations of stored tests, compressed, for the day on which the calculation no longer gives them again.
 *
 * Not in the submission: made from sheet, context and edition afterwards, in the order of the ledger, and kept only
 * where its hash is the recorded one. Where it isn't, that is logged and counted, and tried again by the next process.
 * Processes need no agreement: of two that make one document, one is stored.
 */
import { constants as zlib, zstdCompressSync } from 'node:zlib'
import { evaluate } from '@liftledger/calc'
import { canonicalBytes, sha256 } from '@liftledger/ledger'
import { byteaArray, textArray, timestamptzArray, uuidArray } from '../db/binary-array.ts'
import type { StoredTest } from '../db/read-tests.ts'
import type { Deps } from '../deps.ts'
import { checkedTest } from '../field-tests/load.ts'
import { toWire } from '../http/ids.ts'
import type { Pace } from '../http/paced.ts'
import type { Principal } from '../http/principal.ts'

/** Reads as who may read all tests to study an edition over them. */
const READER: Principal = { role: 'keeper', keyId: 'documents', scopes: [] }

/** Documents at once, and entries of the ledger looked through for them. */
const BATCH = 32
const WINDOW = 2_000
/** Measured on documents of 20 kB: level 3 takes less time than evaluating, and higher levels gain little. */
const LEVEL = 3

export interface DocumentCounts {
  kept: number
  /** Tests whose evaluation is not the recorded one. */
  differing: number
  /** Entries of the ledger that were not looked at yet. */
  behind: number
}

export class DocumentKeeper {
  readonly counts: DocumentCounts = { kept: 0, differing: 0, behind: 0 }
  readonly #deps: Pick<Deps, 'databases' | 'log' | 'now'>
  /** The last entry of the ledger that was dealt with. */
  #after = -1

  constructor(deps: Pick<Deps, 'databases' | 'log' | 'now'>) {
    this.#deps = deps
  }

  /** Deals with the next tests in the ledger; answers whether there may be more. `pace` is awaited after each. */
  async step(pace: Pace = async () => undefined): Promise<boolean> {
    const { tests, end, last } = await this.#next()
    const made: Made[] = []
    for (const test of tests) {
      const before = performance.now()
      const body = this.#documentOf(test)
      if (body === undefined) this.counts.differing += 1
      else made.push({ test, body })
      await pace(performance.now() - before)
    }
    await this.#keep(made)
    this.#after = end
    this.counts.behind = Math.max(0, last - end)
    return this.counts.behind > 0
  }

  /** The next tests without a document, the last entry looked at for them, and the last entry there is. */
  async #next(): Promise<{ tests: StoredTest[]; end: number; last: number }> {
    const after = this.#after
    return this.#deps.databases.asPrincipal(READER, async (tx) => {
      const { last } = await tx
        .selectFrom('ledger_entry')
        .select((eb) => eb.fn.max('index').as('last'))
        .executeTakeFirstOrThrow()
      const newest = last === null ? -1 : Number(last)
      const rows = await tx
        .selectFrom('ledger_entry as entry')
        .innerJoin('field_test as test', 'test.id', 'entry.subject')
        .innerJoin('context_snapshot as snapshot', (join) =>
          join.onRef('snapshot.firm_id', '=', 'test.firm_id').onRef('snapshot.sha256', '=', 'test.context_sha256'),
        )
        .leftJoin('evaluation_document as document', 'document.test_id', 'test.id')
        .selectAll('test')
        .select(['snapshot.body as context', 'entry.index'])
        .where('entry.index', '>', after)
        .where('entry.index', '<=', after + WINDOW)
        .where('entry.kind', 'in', ['test', 'revision'])
        .where('document.test_id', 'is', null)
        .orderBy('entry.index')
        .limit(BATCH)
        .execute()
      const tests = rows.map(
        (row): StoredTest => ({
          id: row.id,
          firmId: row.firm_id,
          plantId: row.plant_id,
          testedOn: row.tested_on,
          receivedAt: row.received_at,
          edition: row.edition,
          soundness: row.soundness,
          raw: row.raw,
          rawSha256: row.raw_sha256,
          context: row.context,
          contextSha256: row.context_sha256,
          evaluationSha256: row.evaluation_sha256,
          ledgerIndex: Number(row.index),
          revision: row.revision,
          revises: row.revision_of,
        }),
      )
      const end = tests.length === BATCH ? tests.at(-1)!.ledgerIndex : Math.min(after + WINDOW, newest)
      return { tests, end, last: newest }
    })
  }

  /** The compressed evaluation; undefined, and told in the log, where it is not the recorded one. */
  #documentOf(test: StoredTest): Buffer | undefined {
    const told = { test: toWire('test', test.id), edition: test.edition, ledgerIndex: test.ledgerIndex }
    try {
      const { sheet, context, edition } = checkedTest(test)
      const bytes = canonicalBytes(evaluate(sheet, context, edition))
      if (test.evaluationSha256.equals(sha256(bytes))) {
        return zstdCompressSync(bytes, { params: { [zlib.ZSTD_c_compressionLevel]: LEVEL } })
      }
      this.#deps.log.error(told, 'replay differs')
    } catch (error) {
      this.#deps.log.error({ ...told, err: error }, 'replay differs: no evaluation')
    }
    return undefined
  }

  async #keep(made: readonly Made[]): Promise<void> {
    if (made.length === 0) return
    const at = this.#deps.now()
    const { rowCount } = await this.#deps.databases.writer.query({
      name: 'keep_documents',
      text: `insert into ll.evaluation_document (test_id, firm_id, encoding, body, kept_at)
             select * from unnest($1::uuid[], $2::uuid[], $3::text[], $4::bytea[], $5::timestamptz[])
             on conflict do nothing`,
      values: [
        uuidArray(made.map(({ test }) => test.id)),
        uuidArray(made.map(({ test }) => test.firmId)),
        textArray(made.map(() => 'zstd')),
        byteaArray(made.map(({ body }) => body)),
        timestamptzArray(made.map(() => at)),
      ],
    })
    this.counts.kept += rowCount ?? 0
  }
}

interface Made {
  readonly test: StoredTest
  readonly body: Buffer
}
