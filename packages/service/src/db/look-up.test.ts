/** Records looked up for many firms in one message: each firm finds its own, as they stood on the day. */
import { pino } from 'pino'
import { afterAll, beforeAll, expect, test, vi } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from './database.ts'
import { gatherLookUps, type RecordQuestion } from './look-up.ts'
import { openPool } from './pool.ts'
import { auditor, connect, type RegisteredFirm, registerFirm } from './testing.ts'

const log = pino({ level: 'silent' })
let database: ClonedDatabase
let databases: Databases
let [ours, theirs]: RegisteredFirm[] = []

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log })
  ours = await registerFirm(databases)
  theirs = await registerFirm(databases)
  for (const { principal, firmId, plantId, testerId } of [ours, theirs]) {
    await databases.asPrincipal(principal, async (tx) => {
      const added = { firm_id: firmId, key_id: 'k', recorded_at: new Date() }
      const id = plantId.replace(/^......../, '00000001')
      await tx.insertInto('instrument').values({ id, firm_id: firmId, code: 'gauge-1', kind: 'gauge' }).execute()
      for (const [revision, effective_from, scale] of [
        [1, '2025-01-01', 100],
        [2, '2026-01-01', 200],
      ] as const) {
        await tx
          .insertInto('instrument_revision')
          .values({ ...added, instrument_id: id, revision, effective_from, facts: JSON.stringify({ scale }) })
          .execute()
      }
      const held = { ...added, tester_id: testerId, code: 'flow', valid_from: '2025-01-01' }
      for (const [revision, valid_until] of [
        [1, '2026-01-01'],
        [2, '2027-01-01'],
      ] as const) {
        await tx
          .insertInto('tester_qualification')
          .values({ ...held, revision, valid_until })
          .execute()
      }
    })
  }
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

const question = (firm: RegisteredFirm, change: Partial<RecordQuestion> = {}) => ({
  plantCode: `P-${firm.plantId.slice(0, 8)}`,
  testerCode: 'T-1',
  instrumentCodes: ['gauge-1'],
  testedOn: '2026-05-04',
  ...change,
})
const lookUp = (firm: RegisteredFirm, change: Partial<RecordQuestion> = {}) =>
  databases.lookUp(firm.principal, question(firm, change))

test('each firm of one message finds its own records, under codes that both use', async () => {
  const crowd = Array.from({ length: 40 }, (_, n) => (n % 3 === 0 ? theirs! : ours!))
  const found = await Promise.all(crowd.map((firm) => lookUp(firm)))
  for (const [place, records] of found.entries()) {
    const { plantId, testerId } = crowd[place]!
    expect(records.map(({ what }) => what)).toEqual(['plant', 'tester', 'instrument'])
    expect(records.map(({ id }) => id).slice(0, 2)).toEqual([plantId, testerId])
  }
})

test('a record of another firm is not there, also in company of that firm', async () => {
  const foreign = question(theirs!)
  const [stranger, owner] = await Promise.all([databases.lookUp(ours!.principal, foreign), lookUp(theirs!)])
  expect(stranger.filter(({ what }) => what === 'plant')).toEqual([])
  expect(stranger.find(({ what }) => what === 'tester')?.id).toBe(ours!.testerId)
  expect(owner.find(({ what }) => what === 'plant')?.id).toBe(theirs!.plantId)
})

test.each([
  ['2024-06-01', null],
  ['2025-06-01', '{"scale": 100}'],
  ['2026-01-01', '{"scale": 200}'],
])('on %s an instrument has the facts %s', async (testedOn, facts) => {
  const records = await lookUp(ours!, { testedOn })
  expect(records.find(({ what }) => what === 'instrument')?.facts).toBe(facts)
})

test('of a corrected qualification the last word counts', async () => {
  const tester = (await lookUp(ours!)).find(({ what }) => what === 'tester')
  expect(JSON.parse(tester!.facts!)).toEqual([{ code: 'flow', validFrom: '2025-01-01', validUntil: '2027-01-01' }])
})

test('what is not registered has no record, and the others of the question are there', async () => {
  expect((await lookUp(ours!, { plantCode: 'P-none' })).map(({ what }) => what)).toEqual(['tester', 'instrument'])
  expect((await lookUp(ours!, { instrumentCodes: [] })).map(({ what }) => what)).toEqual(['plant', 'tester'])
})

test('an instrument that a sheet names twice is found once; of many plants in one message each has its own', async () => {
  const twice = await lookUp(ours!, { instrumentCodes: ['gauge-1', 'gauge-1'] })
  expect(twice.map(({ what }) => what)).toEqual(['plant', 'tester', 'instrument'])
  const codes = ['P-none', `P-${ours!.plantId.slice(0, 8)}`, 'P-nowhere']
  const found = await Promise.all(codes.map((plantCode) => lookUp(ours!, { plantCode })))
  expect(found.map((records) => records.filter(({ what }) => what === 'plant').map(({ id }) => id))).toEqual([
    [],
    [ours!.plantId],
    [],
  ])
})

test('a day that is none fails alone', async () => {
  const [good, bad] = await Promise.allSettled([lookUp(ours!), lookUp(ours!, { testedOn: '2026-02-30' })])
  expect(bad.status).toBe('rejected')
  expect(good.status).toBe('fulfilled')
})

test('the same question of many is asked once', async () => {
  const pool = openPool(database.url, 'll_firm', 1, log)
  try {
    const query = vi.spyOn(pool, 'query')
    const gathered = gatherLookUps(pool, { itemsMax: 64, messagesMax: 1, waitingMax: 100 })
    const asked = { ...question(ours!), firmId: ours!.firmId }
    const answers = await Promise.all(Array.from({ length: 20 }, () => gathered.ask(asked)))
    for (const answer of answers) expect(answer.map(({ what }) => what)).toEqual(['plant', 'tester', 'instrument'])
    const [{ values }] = query.mock.calls[0] as unknown as [{ values: Buffer[] }]
    // One uuid each for plant, tester and instrument: header of 20 bytes, length, value.
    for (const place of [0, 3, 5]) expect(values[place]).toHaveLength(20 + 4 + 16)
  } finally {
    await pool.end()
  }
})

test('nothing of a firm stays on the connection', async () => {
  await lookUp(ours!)
  const client = await connect(database.url, 'll_firm')
  await client.query(
    `select * from ll.look_up(array[]::uuid[], '{}', '{}', array[$1]::uuid[], '{T-1}', array[]::uuid[], '{}', '{}')`,
    [ours!.firmId],
  )
  expect((await client.query("select current_setting('app.firm', true) as firm")).rows[0].firm).toBe('')
  await expect(databases.lookUp(auditor, question(ours!))).rejects.toThrow(/looks up no records/)
})
