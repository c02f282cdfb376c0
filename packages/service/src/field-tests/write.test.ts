import { randomUUID } from 'node:crypto'
import { pino } from 'pino'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { auditor, connect, type RegisteredFirm, registerFirm } from '../db/testing.ts'
import { idempotencyKey, submissionOf } from './testing.ts'
import { ReplayInBatch, type Submission, write } from './write.ts'

let database: ClonedDatabase
let databases: Databases
let firm: RegisteredFirm

beforeAll(async () => {
  database = await cloneDatabase()
  const log = pino({ level: 'silent' })
  databases = await openDatabases(database.url, { production: false, log, poolSizes: { ll_writer: 8 } })
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})
beforeEach(async () => {
  firm = await registerFirm(databases)
})

const keyed = (change: Partial<Submission> = {}) => submissionOf(firm, { idempotency: idempotencyKey(), ...change })
const asFirm = <T>(fn: Parameters<typeof databases.asPrincipal<T>>[1]) => databases.asPrincipal(firm.principal, fn)
const storedTests = () => asFirm((tx) => tx.selectFrom('field_test').selectAll().execute())
const ledger = () =>
  databases.asPrincipal(auditor, (tx) => tx.selectFrom('ledger_entry').selectAll().orderBy('index').execute())
const head = () =>
  databases.asPrincipal(auditor, (tx) => tx.selectFrom('ledger_head').select('next').executeTakeFirstOrThrow())

/** Every index from 0 to the head, once. */
async function expectNoGaps(): Promise<void> {
  const indexes = (await ledger()).map((entry) => entry.index)
  expect(indexes).toEqual(Array.from({ length: (await head()).next }, (_, index) => index))
}

test('a submission is kept to the byte, with its context, its key and its place in the ledger', async () => {
  const submission = keyed({
    raw: Buffer.from('{"flow": 23.50, "flow": 1e0}\u0000ü', 'utf8'),
    testedOn: '2026-03-29',
    soundness: 'in-question',
    findings: [{ id: 'straight-run-short-upstream', severity: 'hold', run: 0, place: '/runs/0/flow' }],
    main: { flowM3S: 0.0631, headM: 61.2, liftM: 48.9, inputPowerW: 61234.5, efficiency: 0.6182, efficiencyU: 0.021 },
  })
  const [written] = await write(databases.writer, [submission])
  expect(written).toEqual({
    id: submission.id,
    ledgerIndex: (await head()).next - 1,
  })

  expect(await storedTests()).toEqual([
    {
      id: submission.id,
      firm_id: firm.firmId,
      plant_id: firm.plantId,
      tester_id: firm.testerId,
      tested_on: '2026-03-29',
      received_at: submission.receivedAt,
      edition: '2026-1',
      raw: submission.raw,
      raw_sha256: submission.rawSha256,
      salt: submission.salt,
      context_sha256: submission.contextSha256,
      evaluation_sha256: submission.evaluationSha256,
      soundness: 'in-question',
      findings: submission.findings,
      flow_m3_s: 0.0631,
      head_m: 61.2,
      lift_m: 48.9,
      input_power_w: 61234.5,
      efficiency: 0.6182,
      efficiency_u: 0.021,
      specific_capacity_m2_s: null,
      energy_per_volume_j_m3: null,
      key_id: 'firmfirmfirm',
      revision: 1,
      revision_of: null,
    },
  ])
  const rest = await asFirm(async (tx) => ({
    context: await tx.selectFrom('context_snapshot').select(['sha256', 'body', 'plant_id']).execute(),
    keys: await tx
      .selectFrom('idempotency')
      .select(['key', 'fingerprint', 'operation', 'status', 'resource_id'])
      .execute(),
    entry: await tx.selectFrom('ledger_entry').selectAll().where('subject', '=', submission.id).execute(),
  }))
  expect(rest).toEqual({
    context: [{ sha256: submission.contextSha256, body: submission.context, plant_id: firm.plantId }],
    keys: [{ ...submission.idempotency, status: 201, resource_id: submission.id }],
    entry: [
      {
        index: written?.ledgerIndex,
        kind: 'test',
        entry: submission.entry,
        leaf_hash: submission.leafHash,
        firm_id: firm.firmId,
        subject: submission.id,
      },
    ],
  })
})

describe('a batch', () => {
  test.each([2, 31, 128])('of %i is written in its order, contexts shared', async (size) => {
    const other = await registerFirm(databases)
    const batch = Array.from({ length: size }, (_, place) => (place % 3 === 1 ? submissionOf(other) : keyed()))
    const written = await write(databases.writer, batch)
    expect(written.map((one) => one.id)).toEqual(batch.map((one) => one.id))
    const first = written[0]?.ledgerIndex ?? Number.NaN
    expect(written.map((one) => one.ledgerIndex)).toEqual(batch.map((_, place) => first + place))
    const subjects = new Map((await ledger()).map((entry) => [entry.index, entry.subject]))
    expect(written.map((one) => subjects.get(one.ledgerIndex))).toEqual(batch.map((one) => one.id))
    expect((await storedTests()).length).toBe(batch.filter((one) => one.firmId === firm.firmId).length)
    expect(await asFirm((tx) => tx.selectFrom('context_snapshot').selectAll().execute())).toHaveLength(1)
  })

  test('of none is nothing', async () => {
    const before = await head()
    expect(await write(databases.writer, [])).toEqual([])
    expect(await head()).toEqual(before)
  })

  test('with keys used before names them and stores nothing', async () => {
    const earlier = [keyed(), keyed()]
    await write(databases.writer, earlier)
    const before = { head: await head(), tests: (await storedTests()).length }
    const other = await registerFirm(databases)
    const fresh = keyed()
    const replays = earlier.map((one) => keyed({ idempotency: one.idempotency! }))
    // The same key of another firm is another key.
    const others = submissionOf(other, { idempotency: earlier[0]!.idempotency! })
    const error = await write(databases.writer, [fresh, ...replays, others]).catch((caught: unknown) => caught)
    expect(error).toBeInstanceOf(ReplayInBatch)
    const taken = (error as ReplayInBatch).taken.map(({ firmId, key }) => `${firmId} ${key}`).sort()
    expect(taken).toEqual(earlier.map((one) => `${firm.firmId} ${one.idempotency?.key}`).sort())
    expect({ head: await head(), tests: (await storedTests()).length }).toEqual(before)
    expect(await write(databases.writer, [fresh, others])).toHaveLength(2)
    await expectNoGaps()
  })

  test('that holds one key twice is refused before it is sent', async () => {
    const twice = keyed()
    const before = await head()
    await expect(write(databases.writer, [twice, keyed({ idempotency: twice.idempotency! })])).rejects.toThrow(
      /stands twice/,
    )
    expect(await head()).toEqual(before)
  })

  test('is refused whole for one row that breaks a rule', async () => {
    const before = await head()
    const wrong: [Partial<Submission>, RegExp][] = [
      [{ rawSha256: Buffer.alloc(32) }, /field_test_hash_check/],
      [{ contextSha256: Buffer.alloc(32) }, /context_snapshot_hash_check/],
      [{ leafHash: Buffer.alloc(32) }, /ledger_entry_hash_check/],
      [{ salt: Buffer.alloc(8) }, /field_test_salt_check/],
      [{ evaluationSha256: Buffer.alloc(31) }, /digest_check/],
      [{ main: { efficiency: Number.NaN } }, /field_test_finite_check/],
      [{ main: { headM: Number.NEGATIVE_INFINITY } }, /field_test_finite_check/],
      [{ plantId: randomUUID() }, /foreign key constraint/],
      [{ testerId: randomUUID() }, /field_test_tester_fk/],
      [{ edition: 'latest' }, /field_test_edition_check/],
    ]
    for (const [change, message] of wrong) {
      await expect(write(databases.writer, [keyed(), keyed(change), keyed()])).rejects.toThrow(message)
    }
    expect(await storedTests()).toEqual([])
    expect(await head()).toEqual(before)
  })
})

test('twenty at once with one key make one row; the others are told which key was taken', async () => {
  const key = idempotencyKey()
  const outcomes = await Promise.allSettled(
    Array.from({ length: 20 }, () => write(databases.writer, [submissionOf(firm, { idempotency: key })])),
  )
  const refused = outcomes.flatMap((outcome) => (outcome.status === 'rejected' ? [outcome.reason] : []))
  expect(refused).toHaveLength(19)
  for (const reason of refused) {
    expect(reason).toBeInstanceOf(ReplayInBatch)
    expect(reason.taken).toEqual([{ firmId: firm.firmId, key: key.key }])
  }
  expect(await storedTests()).toHaveLength(1)
  await expectNoGaps()
})

test('the ledger has no gap and one entry a test after many batches at once, some of which fail', async () => {
  const other = await registerFirm(databases)
  const shared = Array.from({ length: 12 }, () => idempotencyKey())
  const attempts = Array.from({ length: 60 }, (_, turn) => {
    if (turn % 5 === 0) return [keyed(), keyed({ plantId: other.plantId })]
    if (turn % 7 === 0) return [keyed({ idempotency: shared[turn % 12]! }), keyed()]
    // Keys and contexts in opposite orders, so that careless locking would lock crosswise.
    const both = [keyed({ idempotency: shared[turn % 4]! }), submissionOf(other, { idempotency: shared[turn % 3]! })]
    return turn % 2 === 0 ? both : both.reverse()
  })
  const outcomes = await Promise.allSettled(attempts.map((batch) => write(databases.writer, batch)))
  const reasons = outcomes.flatMap((outcome) => (outcome.status === 'rejected' ? [String(outcome.reason)] : []))
  expect(reasons.length).toBeGreaterThan(12)
  for (const reason of reasons) expect(reason).toMatch(/used before|foreign key constraint/)
  await expectNoGaps()
  const acknowledged = outcomes.flatMap((outcome) => (outcome.status === 'fulfilled' ? outcome.value : []))
  const entries = new Map((await ledger()).map((entry) => [entry.subject, entry.index]))
  expect(acknowledged.map((one) => entries.get(one.id))).toEqual(acknowledged.map((one) => one.ledgerIndex))
  const client = await connect(database.url)
  const { rows } = await client.query('select count(*)::int as tests from ll.field_test')
  expect(entries.size).toBe(rows[0].tests)
})

test('only the writer may call the function, and no setting is needed for it', async () => {
  const client = await connect(database.url, 'll_firm')
  await client.query("select set_config('app.firm', $1, false)", [firm.firmId])
  const reader = {
    connect: async () => ({ query: client.query.bind(client), release: () => undefined }),
  } as unknown as Parameters<typeof write>[0]
  await expect(write(reader, [keyed()])).rejects.toThrow(/permission denied for function write_batch/)
})
