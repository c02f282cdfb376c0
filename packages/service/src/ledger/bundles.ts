/**
 * Bundles: files from which tests can be verified without this service, over the tests that a reader may see.
 *
 * All items of a bundle stand under one checkpoint, which is waited for where something is too young for it: that takes
 * a second at most.
 */
import {
  BUNDLE_END,
  type BundledEntry,
  type BundledFindings,
  bundleHead,
  bundleItem,
  consistencyProof,
} from '@liftledger/ledger'
import { sql, type Transaction } from 'kysely'
import type { Databases } from '../db/database.ts'
import type { Database } from '../db/schema.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { hashedFindings } from '../record-findings/hashed.ts'
import { entriesAbout } from './queries.ts'
import { checkpointOf, newestCheckpoint, type StoredCheckpoint, treeReader } from './stored-tree.ts'

/** Tests in one bundle at most. */
export const BUNDLE_TESTS_MAX = 10_000
/** Items that are read, and held in memory, at once; and bytes of their sheets and contexts, or one item of more. */
const PORTION = { items: 100, bytes: 1024 * 1024 }

/** An entry about a test; `isTest` where the test itself goes with it, `isFindings` where what the record says of it does. */
interface Place {
  readonly index: number
  readonly testId: string
  readonly isTest: boolean
  readonly isFindings: boolean
}

/** Kinds of entries that a sheet goes with. */
const WITH_SHEET = ['test', 'revision']

/** Places of the entries that say something about tests, as far as the reader may see them, in order. */
export async function placesOf(tx: Transaction<Database>, testIds: readonly string[]): Promise<Place[]> {
  if (testIds.length === 0) return []
  const asked = new Set(testIds)
  const about = await entriesAbout(tx, testIds)
  const rows = await tx
    .selectFrom('ledger_entry')
    .select(['index', 'subject', 'kind'])
    .where(about)
    .orderBy('index')
    .execute()
  // Of a later version that was not asked for there is its entry alone: it says that it took the place.
  return rows.map(({ index, subject, kind }) => ({
    index,
    testId: subject!,
    isTest: WITH_SHEET.includes(kind) && asked.has(subject!),
    isFindings: kind === 'record-findings',
  }))
}

/** Tests of visits on these days, as far as the reader may see them, oldest submission first. */
export async function testsOfDays(
  tx: Transaction<Database>,
  { testedFrom, testedTo }: { testedFrom: string | undefined; testedTo: string | undefined },
  limit: number,
): Promise<string[]> {
  const rows = await tx
    .selectFrom('field_test')
    .select('id')
    .$if(testedFrom !== undefined, (query) => query.where('tested_on', '>=', testedFrom!))
    .$if(testedTo !== undefined, (query) => query.where('tested_on', '<=', testedTo!))
    .orderBy('id')
    .limit(limit)
    .execute()
  return rows.map(({ id }) => id)
}

export interface BundleSource {
  readonly databases: Databases
  readonly ledger: { settle(): Promise<void> }
}

/** A checkpoint that covers all these places, or the tests among them at least. Throws `conflict` where none is to be had. */
async function covering({ databases, ledger }: BundleSource, places: readonly Place[]): Promise<StoredCheckpoint> {
  const endOf = (some: readonly Place[]): number => (some.at(-1)?.index ?? 0) + 1
  const before = await newestCheckpoint(databases.ledgerReads)
  if (before !== undefined && before.size >= endOf(places)) return before
  await ledger.settle().catch(() => undefined)
  const after = await newestCheckpoint(databases.ledgerReads)
  if (after !== undefined && after.size >= endOf(places.filter(({ isTest }) => isTest))) return after
  throw new Problem('conflict', 'No signed checkpoint covers this test yet. Ask again in a few seconds.')
}

export interface BundleRequest {
  readonly principal: Principal
  readonly places: readonly Place[]
  /** Size of a checkpoint that the reader kept: the bundle then shows that the log continues it. */
  readonly since?: number | undefined
}

/**
 * A bundle piece by piece: its head, and portions of items.
 *
 * Throws `conflict` where nothing covers the tests, `not-found` where no checkpoint of that size was signed. What fails
 * later breaks the file off, which its reader notices by the missing end.
 */
export async function bundleOf(source: BundleSource, request: BundleRequest): Promise<AsyncIterable<Uint8Array>> {
  const pool = source.databases.ledgerReads
  const checkpoint = await covering(source, request.places)
  const { size } = checkpoint
  const places = request.places.filter(({ index }) => index < size)
  const earlier = request.since === undefined ? undefined : await checkpointOf(pool, request.since)
  if (request.since !== undefined && (earlier === undefined || earlier.size > size)) {
    throw notFound('checkpoint', String(request.since))
  }
  const head = await treeReader(pool, size).read((read) =>
    bundleHead({
      checkpoint: checkpoint.note,
      indexes: places.map(({ index }) => index),
      read,
      ...(earlier !== undefined && {
        earlier: { checkpoint: earlier.note, consistency: consistencyProof(earlier.size, size, read) },
      }),
    }),
  )
  return pieces(source.databases, request.principal, { head, places })
}

async function* pieces(
  databases: Databases,
  principal: Principal,
  { head, places }: { head: Uint8Array; places: readonly Place[] },
): AsyncIterable<Uint8Array> {
  yield head
  for (let at = 0; at < places.length; ) {
    const next = places.slice(at, at + PORTION.items)
    const items = await databases.asPrincipal(principal, async (tx) => itemsOf(tx, await portionOf(tx, next)))
    yield Buffer.concat(items)
    at += items.length
  }
  yield BUNDLE_END
}

/** So many of the first places as are not too large together; one at least. */
async function portionOf(tx: Transaction<Database>, places: readonly Place[]): Promise<readonly Place[]> {
  const sizes = await sizesOf(
    tx,
    places.filter(({ isTest }) => isTest).map(({ testId }) => testId),
  )
  let bytes = 0
  const end = places.findIndex(({ testId, isTest }, place) => {
    bytes += isTest ? (sizes.get(testId) ?? 0) : 0
    return place > 0 && bytes > PORTION.bytes
  })
  return end === -1 ? places : places.slice(0, end)
}

async function itemsOf(tx: Transaction<Database>, portion: readonly Place[]): Promise<Uint8Array[]> {
  const entries = await tx
    .selectFrom('ledger_entry')
    .select(['index', 'entry'])
    .where(
      'index',
      'in',
      portion.map(({ index }) => index),
    )
    .execute()
  const byIndex = new Map(entries.map((one) => [one.index, one]))
  const sheets = await sheetsOf(
    tx,
    portion.filter(({ isTest }) => isTest).map(({ testId }) => testId),
  )
  const found = await findingsOf(
    tx,
    portion.filter(({ isFindings }) => isFindings).map(({ testId }) => testId),
  )
  return portion.map(({ index, testId, isTest, isFindings }) => {
    const entry: BundledEntry | undefined = byIndex.get(index)
    const beside = isTest ? sheets.get(testId) : isFindings ? found.get(testId) : {}
    if (entry === undefined || beside === undefined) throw new Error(`Entry ${index} can not be seen any more.`)
    return bundleItem({ ...entry, ...beside })
  })
}

/** Bytes of the sheet and the context of each test. */
async function sizesOf(tx: Transaction<Database>, testIds: readonly string[]): Promise<Map<string, number>> {
  if (testIds.length === 0) return new Map()
  const rows = await withContext(tx, testIds)
    .select(['test.id', sql<number>`octet_length(test.raw) + octet_length(snapshot.body)`.as('bytes')])
    .execute()
  return new Map(rows.map(({ id, bytes }) => [id, bytes]))
}

const withContext = (tx: Transaction<Database>, testIds: readonly string[]) =>
  tx
    .selectFrom('field_test as test')
    .innerJoin('context_snapshot as snapshot', (join) =>
      join.onRef('snapshot.firm_id', '=', 'test.firm_id').onRef('snapshot.sha256', '=', 'test.context_sha256'),
    )
    .where('test.id', 'in', [...testIds])

interface SheetRow {
  readonly raw: Buffer
  readonly salt: Buffer
  readonly context: Buffer
}

async function sheetsOf(tx: Transaction<Database>, testIds: readonly string[]): Promise<Map<string, SheetRow>> {
  if (testIds.length === 0) return new Map()
  const rows = await withContext(tx, testIds)
    .select(['test.id', 'test.raw', 'test.salt', 'snapshot.body as context'])
    .execute()
  return new Map(rows.map(({ id, ...sheet }) => [id, sheet]))
}

type FindingsPart = Omit<BundledFindings, keyof BundledEntry>

/** What comparing tests with the record found, as it was hashed. */
async function findingsOf(tx: Transaction<Database>, testIds: readonly string[]): Promise<Map<string, FindingsPart>> {
  const found = testIds.length === 0 ? [] : await hashedFindings(tx, testIds)
  return new Map(found.map(({ testId, ...part }) => [testId, part]))
}
