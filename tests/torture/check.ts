/**
 * What the client was told, held against what the database holds, from scratch: every row is read, every hash computed
 * anew. Each body was sent under one key only and no two are alike, so that a body stored twice shows by its hash.
 */
import { createHash } from 'node:crypto'
import { leafHash } from '@liftledger/ledger'
import type pg from 'pg'
import { checkTree } from './check-tree.ts'
import { journalLines } from './journal.ts'
import type { JournalLine } from './load.ts'

export interface Verdict {
  readonly acknowledged: number
  /** Submissions in the database. */
  readonly stored: number
  /** Acknowledged, and not there under its id, its key, its place in the ledger and its hash. */
  readonly lost: number
  /** Bodies stored more than once. */
  readonly doubled: number
  /** Told that nothing was stored while it was, or refused for what was not its fault. */
  readonly falselyRefused: number
  /** Indexes missing, leaf hashes wrong, tests without exactly one entry, entries whose hashes are not the test's. */
  readonly ledgerFaults: number
  /** Unknown in spite of all repeats. */
  readonly undecided: number
  /** Checkpoints, roots and tiles that do not follow from the entries, and entries that none covers in time. */
  readonly treeFaults: number
  /** Signed checkpoints, each verified and held against the entries. */
  readonly checkpoints: number
  /** Seconds after the last answer until a checkpoint covered every entry. */
  readonly coveredAfterS: number
  /** Some of the faults, in words. */
  readonly examples: readonly string[]
}

interface StoredTest {
  readonly id: string
  readonly raw: Buffer
  readonly raw_sha256: Buffer
  readonly salt: Buffer
  readonly index: string | null
  readonly entries: number
  readonly entry: Buffer | null
  readonly key: string | null
}

const PAGE = 2_000
const EXAMPLES_MAX = 10
const sha256 = (...parts: Uint8Array[]): string => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest('hex')
}

class Faults {
  readonly counts = { lost: 0, doubled: 0, falselyRefused: 0, ledgerFaults: 0, undecided: 0, treeFaults: 0 }
  readonly examples: string[] = []
  add(kind: keyof Faults['counts'], text: string): void {
    this.counts[kind] += 1
    if (this.examples.length < EXAMPLES_MAX) this.examples.push(`${kind}: ${text}`)
  }
}

/** How long the tree has to reach the last entry. */
const TREE_PATIENCE_MS = 10_000

/** `client` is a superuser's. */
export async function check(
  client: pg.ClientBase,
  journal: string,
  treePatienceMs: number = TREE_PATIENCE_MS,
): Promise<Verdict> {
  const faults = new Faults()
  const { faults: ofTree, checkpoints, coveredAfterS } = await checkTree(client, treePatienceMs)
  for (const fault of ofTree) faults.add('treeFaults', fault)
  await checkEntries(client, faults)
  const told = new Map<string, JournalLine>()
  for await (const line of journalLines(journal)) told.set(line.sha256, line)
  const times = new Map<string, number>()
  for await (const test of storedTests(client)) {
    const body = sha256(test.raw)
    checkTest(test, body, faults)
    const line = told.get(body)
    // The visits that the basin came with were sent by nobody of ours.
    if (line === undefined) continue
    times.set(body, (times.get(body) ?? 0) + 1)
    compare(test, line, faults)
  }
  let acknowledged = 0
  for (const [body, line] of told) {
    const found = times.get(body) ?? 0
    if (line.told === 'stored') acknowledged += 1
    if (line.told === 'stored' && found === 0) faults.add('lost', `${line.id}, index ${line.index}, is not there`)
    if (found > 1) faults.add('doubled', `${line.key} stored ${found} times`)
    if (line.told === 'wrong') faults.add('falselyRefused', `${line.key}: ${line.status} ${line.body}`)
    if (line.told === 'undecided') faults.add('undecided', line.key)
  }
  const stored = [...times.values()].reduce((sum, found) => sum + found, 0)
  return { acknowledged, stored, ...faults.counts, checkpoints, coveredAfterS, examples: faults.examples }
}

/** A row that the journal knows. */
function compare(test: StoredTest, line: JournalLine, faults: Faults): void {
  if (line.told === 'refused') faults.add('falselyRefused', `${line.key}: "nothing was stored", and it was`)
  if (line.told !== 'stored') return
  const { id, index } = entryFacts(test)
  if (id !== line.id || index !== line.index || test.key !== line.key) {
    faults.add('lost', `told ${line.id} at ${line.index}, key ${line.key}; stored ${id} at ${index}, key ${test.key}`)
  }
}

const entryFacts = ({ entry, index }: StoredTest): { id: string | undefined; index: number | undefined } => ({
  id: entry === null ? undefined : (JSON.parse(entry.toString('utf8')) as { subject: string }).subject,
  index: index === null ? undefined : Number(index),
})

function checkTest({ id, raw, raw_sha256, salt, entries, entry }: StoredTest, body: string, faults: Faults): void {
  if (raw_sha256.toString('hex') !== body) faults.add('ledgerFaults', `test ${id}: its hash is not that of its bytes`)
  if (entries !== 1 || entry === null) {
    faults.add('ledgerFaults', `test ${id} has ${entries} entries`)
    return
  }
  const { rawSha256 } = JSON.parse(entry.toString('utf8')) as { rawSha256: string }
  if (rawSha256 !== sha256(salt, raw)) faults.add('ledgerFaults', `test ${id}: its entry has another hash`)
}

/** Indexes from 0 without a gap up to the head; the hash of each leaf; a test behind each entry about one. */
async function checkEntries(client: pg.ClientBase, faults: Faults): Promise<void> {
  let expected = 0
  for (;;) {
    const { rows } = await client.query<{ index: string; leaf_hash: Buffer; entry: Buffer; orphan: boolean }>(
      `select e.index, e.leaf_hash, e.entry, e.kind = 'test' and t.id is null as orphan
       from ll.ledger_entry e left join ll.field_test t on t.id = e.subject
       where e.index >= $1 order by e.index limit ${PAGE}`,
      [expected],
    )
    for (const { index, leaf_hash, entry, orphan } of rows) {
      if (Number(index) !== expected) faults.add('ledgerFaults', `index ${index} follows ${expected - 1}`)
      if (!leaf_hash.equals(leafHash(entry))) faults.add('ledgerFaults', `entry ${index}: wrong leaf hash`)
      if (orphan) faults.add('ledgerFaults', `entry ${index} is about a test that is not there`)
      expected = Number(index) + 1
    }
    if (rows.length < PAGE) break
  }
  const { rows } = await client.query<{ next: string }>('select next from ll.ledger_head')
  if (Number(rows[0]?.next) !== expected) faults.add('ledgerFaults', `${expected} entries, next is ${rows[0]?.next}`)
}

/** All tests with their entry and key, some at a time: there may be more than fit into memory. */
async function* storedTests(client: pg.ClientBase): AsyncGenerator<StoredTest> {
  let after = '00000000-0000-0000-0000-000000000000'
  for (;;) {
    const { rows } = await client.query<StoredTest>(
      `select t.id, t.raw, t.raw_sha256, t.salt, e.index, e.entry, i.key,
              (select count(*)::int from ll.ledger_entry c where c.subject = t.id and c.kind = 'test') as entries
       from (select * from ll.field_test where id > $1 order by id limit ${PAGE}) t
       left join lateral (select index, entry from ll.ledger_entry c where c.subject = t.id and c.kind = 'test'
                          order by index limit 1) e on true
       left join ll.idempotency i on i.resource_id = t.id and i.firm_id = t.firm_id
       order by t.id`,
      [after],
    )
    yield* rows
    if (rows.length < PAGE) return
    after = rows.at(-1)!.id
  }
}
