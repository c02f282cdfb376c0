/** The check of the torture finds what it is there to find. */
import { createHash, randomUUID } from 'node:crypto'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import { startTestService, type TestService } from '../setup/service.ts'
import { registerContext, sheetWith } from '../setup/visit.ts'
import { check } from './check.ts'
import type { JournalLine } from './load.ts'

let service: TestService
let folder: string
const honest: JournalLine[] = []
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'liftledger-torture-test-'))
  service = await startTestService()
  await registerContext(service, 'firmA')
  for (let i = 0; i < 3; i++) honest.push(await submit(i))
})
afterAll(async () => {
  await service.close()
  await rm(folder, { recursive: true, force: true })
})

const bodyOf = (i: number): string => JSON.stringify(sheetWith({ '/standingLevel/reading/value': 118.4 + i / 1000 }))
const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex')

async function submit(i: number): Promise<JournalLine & { told: 'stored' }> {
  const key = randomUUID()
  const headers = { 'idempotency-key': `"${key}"` }
  const { status, body } = await service.call<{ id: string; ledgerIndex: number }>('firmA', 'POST /v1/tests', {
    body: bodyOf(i),
    headers,
  })
  expect(status).toBe(201)
  return { told: 'stored', key, sha256: sha256(bodyOf(i)), id: body.id, index: body.ledgerIndex }
}

/** What is found after some statements past every guard, as nobody but a superuser could; nothing of them stays. */
async function verdict(lines: readonly JournalLine[] = honest, ...statements: string[]) {
  const journal = join(folder, `${randomUUID()}.ndjson`)
  await writeFile(journal, lines.map((line) => `${JSON.stringify(line)}\n`).join(''))
  return onConnection(service.databaseUrl, undefined, async (client) => {
    await client.query('begin')
    for (const table of ['ledger_entry', 'ledger_head', 'field_test', 'idempotency'])
      await client.query(`alter table ll.${table} disable trigger all`)
    for (const statement of statements) await client.query(statement)
    const found = await check(client, journal)
    await client.query('rollback')
    return found
  })
}

const CLEAN = { lost: 0, doubled: 0, falselyRefused: 0, ledgerFaults: 0, undecided: 0 }

test('an honest record has no fault', async () => {
  expect(await verdict()).toEqual({ acknowledged: 3, stored: 3, ...CLEAN, examples: [] })
})

describe('told, and not so', () => {
  test.each<[what: string, change: (line: JournalLine) => JournalLine, fault: Partial<typeof CLEAN>]>([
    ['a test that is not there is lost', (line) => ({ ...line, sha256: sha256('another') }), { lost: 1 }],
    ['a test in another place is lost', (line) => ({ ...line, index: 77 }) as JournalLine, { lost: 1 }],
    ['a test under another key is lost', (line) => ({ ...line, key: 'another' }), { lost: 1 }],
    [
      'what was stored was falsely refused',
      ({ key, sha256 }) => ({ told: 'refused', key, sha256, status: 503, body: '' }),
      { falselyRefused: 1 },
    ],
    [
      'a 500 is a false refusal',
      ({ key }) => ({ told: 'wrong', key, sha256: sha256('another'), status: 500, body: '' }),
      { falselyRefused: 1 },
    ],
    ['what nobody knows is counted', ({ key }) => ({ told: 'undecided', key, sha256: sha256('x') }), { undecided: 1 }],
  ])('%s', async (_, change, fault) => {
    expect(await verdict(honest.map((line, place) => (place === 1 ? change(line) : line)))).toMatchObject({
      ...CLEAN,
      ...fault,
    })
  })
})

describe('the record itself', () => {
  test.each([
    ['a gap', ['update ll.ledger_entry set index = index + 1 where index = 3', 'update ll.ledger_head set next = 5']],
    ['an entry that is gone', ['delete from ll.ledger_entry where index = 3', 'update ll.ledger_head set next = 3']],
    ['a head that is ahead', ['update ll.ledger_head set next = 9']],
    [
      'a second entry about a test',
      [
        'insert into ll.ledger_entry select 4, leaf_hash, entry, kind, firm_id, subject from ll.ledger_entry where index = 1',
        'update ll.ledger_head set next = 5',
      ],
    ],
    [
      'a wrong leaf',
      [
        'alter table ll.ledger_entry drop constraint ledger_entry_hash_check',
        "update ll.ledger_entry set leaf_hash = sha256('x') where index = 1",
      ],
    ],
    [
      'bytes that are not those that were hashed',
      [
        'alter table ll.field_test drop constraint field_test_hash_check',
        "update ll.field_test set salt = '\\x00112233445566778899aabbccddeeff'",
      ],
    ],
  ])('shows %s', async (_, statements) => {
    expect((await verdict(honest, ...statements)).ledgerFaults).toBeGreaterThan(0)
  })
})

test('one body stored twice is doubled', async () => {
  await submit(1)
  expect(await verdict()).toMatchObject({ ...CLEAN, doubled: 1, lost: 1 })
})
