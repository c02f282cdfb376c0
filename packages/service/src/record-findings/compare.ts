/**
 * Compares each stored test with what stood before it in the ledger, and records what was found.
 *
 * After the commit and in the order of the ledger, whoever submits: what is found depends on nothing but the log, so that
 * comparing all of it again gives the same. How far it came is what is stored, so that a process that dies in between, or
 * a second one beside it, neither leaves out a test nor records one twice.
 */
import { editionById, type RecordedTest, type RecordFinding, recordFindings, type TestRecord } from '@liftledger/calc'
import type { Transaction } from 'kysely'
import { LRUCache } from 'lru-cache'
import type { Database } from '../db/schema.ts'
import { readTest } from '../field-tests/load.ts'
import { toWire } from '../http/ids.ts'
import type { Pace } from '../http/paced.ts'
import type { Principal } from '../http/principal.ts'
import { Problem } from '../http/problem.ts'
import type { LedgerDeps } from '../ledger/append.ts'
import {
  countOfPlant,
  LOOKALIKES_MAX,
  type Lookalike,
  lookalikes,
  ofPlant,
  ofTester,
  standing,
  verdictsOf,
  withSameBytes,
} from './candidates.ts'
import { nextInQueue, type Queue, type WaitingTest } from './queue.ts'
import { findingsFromRecord } from './told.ts'
import { windowsOf } from './windows.ts'
import { type ComparedTest, writeComparisons } from './write.ts'

type Tx = Transaction<Database>

/** Reads as who may read all tests to study an edition over them. */
const READER: Principal = { role: 'keeper', keyId: 'comparisons', scopes: [] }

/** Tests in one transaction. */
const BATCH = 32
/** Tests that are held with their evaluations: a plant's tests come up again with its next one. */
const HELD_MAX = 200

export interface ComparisonCounts {
  compared: number
  /** Findings of any severity. */
  found: number
  /** Tests that could not be compared, since what is stored of them is not what was received. */
  failing: number
  /** Entries of the ledger that were not looked at yet. */
  behind: number
}

export type CompareDeps = Pick<LedgerDeps, 'databases' | 'log' | 'now' | 'newSalt' | 'ledger'>

/** For tests: called between the parts of a step; what it throws ends the step as a crash would. */
export type Between = (what: 'compared' | 'stored') => void

export class RecordComparer {
  readonly counts: ComparisonCounts = { compared: 0, found: 0, failing: 0, behind: 0 }
  readonly #deps: CompareDeps
  readonly #held = new LRUCache<string, RecordedTest>({ max: HELD_MAX })
  /** The last entry that this process dealt with, also where it could not compare the test. */
  #passed = -1

  constructor(deps: CompareDeps) {
    this.#deps = deps
  }

  /** Compares the next tests; answers whether there may be more. `pace` is awaited after each. */
  async step(
    pace: Pace = async () => undefined,
    { end, between }: { readonly end?: AbortSignal; readonly between?: Between } = {},
  ): Promise<boolean> {
    const { databases, ledger, now } = this.#deps
    const { compared, waiting, seen, behind, waits } = await this.#next()
    const batch: ComparedTest[] = []
    for (const test of waiting) {
      if (end?.aborted) break
      const began = performance.now()
      const made = await this.#compare(test, { compared, batch })
      if (made === undefined) this.counts.failing += 1
      else batch.push(made)
      await pace(performance.now() - began)
    }
    between?.('compared')
    const stored = batch.length === 0 ? [] : await writeComparisons(databases.writer, compared, batch, now())
    between?.('stored')
    // Another process was first: it is seen with the next step.
    if (stored === undefined) return true
    ledger.appended(stored)
    if (end?.aborted) return false
    this.#passed = seen
    this.counts.behind = behind
    this.counts.compared += batch.length
    this.counts.found += batch.reduce((sum, { findings }) => sum + findings.length, 0)
    return behind > 0 && !waits
  }

  /** The next tests, up to the first of an edition that this process does not have: a later version compares that. */
  async #next(): Promise<Pick<Queue, 'compared' | 'waiting' | 'behind'> & { seen: number; waits: boolean }> {
    const queue = await this.#deps.databases.asPrincipal(READER, (tx) => nextInQueue(tx, this.#passed, BATCH))
    const known = queue.waiting.findIndex(({ edition }) => editionById(edition) === undefined)
    if (known < 0) return { ...queue, seen: queue.end, waits: false }
    const waiting = queue.waiting.slice(0, known)
    const seen = waiting.at(-1)?.ledgerIndex ?? this.#passed
    return { compared: queue.compared, waiting, seen, behind: queue.behind + queue.end - seen, waits: true }
  }

  /** Undefined, and told in the log, where what is stored of the test is not what was received. */
  async #compare(test: WaitingTest, before: Before): Promise<ComparedTest | undefined> {
    const read = await this.#deps.databases.asPrincipal(READER, async (tx) => {
      const subject = await this.#recorded(tx, test.id)
      const windows = subject && this.#windowsOf(subject)
      return windows && { subject, windows, record: await this.#recordOf(tx, test, { ...before, subject, windows }) }
    })
    if (read === undefined) return undefined
    const { subject, windows, record } = read
    const edition = editionById(subject.evaluation.edition)!
    let findings: RecordFinding[]
    try {
      // Not in the transaction: it may take a moment, and the database does not wait long for one that says nothing.
      findings = recordFindings(record, edition)
    } catch (error) {
      this.#deps.log.error({ test: subject.test, err: error }, 'a test can not be compared with the record')
      return undefined
    }
    return { ...test, edition: edition.id, salt: this.#deps.newSalt(), findings, windows }
  }

  #windowsOf({ test, sheet }: RecordedTest): string[] | undefined {
    try {
      return windowsOf(sheet)
    } catch (error) {
      this.#deps.log.error({ test, err: error }, 'a test can not be compared with the record')
      return undefined
    }
  }

  async #recordOf(tx: Tx, test: WaitingTest, { subject, windows, compared, batch }: Subject): Promise<TestRecord> {
    const recorded = async (ids: Iterable<string>): Promise<RecordedTest[]> => {
      const all: RecordedTest[] = []
      const asked = [...ids]
      const verdicts = await verdictsOf(tx, asked, compared)
      for (const id of asked) {
        const one = await this.#recorded(tx, id)
        const inBatch = batch.find((other) => other.id === id)
        const byRecord = inBatch === undefined ? verdicts.get(id) : verdictOf(inBatch.findings)
        if (one !== undefined) all.push(byRecord === undefined ? one : { ...one, byRecord })
      }
      return all
    }
    const alike = await lookalikes(tx, windows, compared, batch)
    const standingOf = async (some: readonly Lookalike[]): Promise<string[]> => {
      const ids = some.map(({ id }) => id)
      return (await standing(tx, ids, test.ledgerIndex)).slice(0, LOOKALIKES_MAX)
    }
    const isOfPlant = ({ plantId }: { readonly plantId: string }): boolean => plantId === test.plantId
    const ownAlike = await standingOf(alike.filter(isOfPlant))
    const tests = await recorded(new Set([...(await ofPlant(tx, test)), ...ownAlike]))
    const ofThisPlant = (await countOfPlant(tx, test.plantId, compared)) + batch.filter(isOfPlant).length
    const [revised] = test.revises === null ? [] : await recorded([test.revises])
    const inBatch = batch.find(({ id }) => id === test.revises)?.findings
    return {
      subject,
      ...(revised !== undefined && {
        revised,
        foundInRevised: inBatch ?? (await findingsFromRecord(tx, test.revises!)),
      }),
      ofPlant: tests.toSorted(byVisit),
      lookalikes: await recorded(await standingOf(alike.filter((one) => !isOfPlant(one)))),
      searched: compared + batch.length - ofThisPlant,
      ofTester: await recorded(await ofTester(tx, test)),
      sameBytes: (await withSameBytes(tx, test)).map((id) => toWire('test', id)),
    }
  }

  /** A stored test as it was recorded; it never changes. */
  async #recorded(tx: Tx, id: string): Promise<RecordedTest | undefined> {
    const held = this.#held.get(id)
    if (held !== undefined) return held
    try {
      const { stored, sheet, context, evaluation } = await readTest(tx, id)
      const test: RecordedTest = {
        test: toWire('test', id),
        firm: toWire('firm', stored.firmId),
        plant: toWire('plant', stored.plantId),
        ...{ sheet, context, evaluation },
        rawSha256: stored.rawSha256.toString('hex'),
        receivedAt: stored.receivedAt.toISOString(),
      }
      this.#held.set(id, test)
      return test
    } catch (error) {
      if (!(error instanceof Problem)) throw error
      this.#deps.log.error({ test: toWire('test', id), err: error }, 'a test can not be compared with the record')
      return undefined
    }
  }
}

/** What was compared already: the first so many tests, and behind them those of the step under way. */
interface Before {
  readonly compared: number
  readonly batch: readonly ComparedTest[]
}
interface Subject extends Before {
  readonly subject: RecordedTest
  readonly windows: readonly string[]
}

const verdictOf = (findings: readonly RecordFinding[]): NonNullable<RecordedTest['byRecord']> => {
  if (findings.some(({ severity }) => severity === 'reject')) return 'unsound'
  return findings.some(({ severity }) => severity === 'hold') ? 'in-question' : 'sound'
}

/** Oldest visit first; of one day what came first. */
const byVisit = (one: RecordedTest, other: RecordedTest): number => {
  const [a, b] = [one, other].map(({ sheet, test }) => `${sheet.testedOn} ${test}`)
  return a! < b! ? -1 : 1
}
