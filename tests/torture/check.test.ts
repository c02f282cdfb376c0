/** The check of the torture finds what it is there to find. */
import { createHash, randomUUID } from 'node:crypto'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import { addEntries } from '../../packages/service/src/ledger/testing.ts'
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
  await service.app.ledger.settle()
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
    for (const table of ['ledger_entry', 'ledger_head', 'field_test', 'idempotency', ...TREE])
      await client.query(`alter table ll.${table} disable trigger all`)
    for (const statement of statements) await client.query(statement)
    const { coveredAfterS: _, ...found } = await check(client, journal, 0)
    await client.query('rollback')
    return found
  })
}

const TREE = ['ledger_tree', 'ledger_tile', 'ledger_checkpoint']
const CLEAN = { lost: 0, doubled: 0, falselyRefused: 0, ledgerFaults: 0, undecided: 0, treeFaults: 0 }

test('an honest record has no fault', async () => {
  expect(await verdict()).toEqual({
    acknowledged: 3,
    stored: 3,
    checkpoints: expect.any(Number),
    ...CLEAN,
    examples: [],
  })
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

describe('the tree over it', () => {
  test.each([
    ['an entry that no checkpoint covers', ['delete from ll.ledger_checkpoint where size = 4'], /covers \d of 4/],
    ['no checkpoint at all', ['delete from ll.ledger_checkpoint'], /no checkpoint/],
    [
      'a checkpoint that was changed',
      ["update ll.ledger_checkpoint set note = replace(note, E'\\n4\\n', E'\\n3\\n') where size = 4"],
      /checkpoint 4: /,
    ],
    [
      'an entry rewritten with its hash, after it was signed',
      [
        "update ll.ledger_entry set entry = entry || ' '::bytea, leaf_hash = sha256('\\x00'::bytea || entry || ' ') where index = 2",
      ],
      /checkpoint 4 has another root/,
    ],
    [
      'a tile of entries that are not there',
      [`insert into ll.ledger_tile values (0, 0, decode(repeat('00', 8192), 'hex'), sha256('x'))`],
      /1 tiles are stored, 0 are full/,
    ],
  ])('shows %s', async (_, statements, says) => {
    const { treeFaults, examples } = await verdict(honest, ...statements)
    expect(treeFaults).toBeGreaterThan(0)
    expect(examples.join('\n')).toMatch(says)
  })
})

test('one body stored twice is doubled', async () => {
  await submit(1)
  await service.app.ledger.settle()
  expect(await verdict()).toMatchObject({ ...CLEAN, doubled: 1, lost: 1 })
})

describe('the tiles of a tree of many entries', () => {
  beforeAll(async () => {
    await onConnection(service.databaseUrl, undefined, (client) => addEntries(client, 700))
    await service.app.ledger.settle()
  })

  // Entries about no test, which the record itself shows.
  test('are those of its entries', async () => {
    expect(await verdict()).toMatchObject({ treeFaults: 0, ledgerFaults: 700 })
  })

  test.each([
    [
      'a spoiled hash',
      ['update ll.ledger_tile set hashes = set_byte(hashes, 40, 255 - get_byte(hashes, 40)) where index = 1'],
      /tile 0\/1 has other hashes/,
    ],
    ['a spoiled root', ["update ll.ledger_tile set root = sha256('x') where index = 0"], /tile 0\/0 has another root/],
    ['a tile that is gone', ['delete from ll.ledger_tile where index = 1'], /tile 0\/1 is not stored/],
  ])('show %s', async (_, statements, says) => {
    const { treeFaults, examples } = await verdict(honest, ...statements)
    expect(treeFaults).toBeGreaterThan(0)
    expect(examples.join('\n')).toMatch(says)
  })
})
