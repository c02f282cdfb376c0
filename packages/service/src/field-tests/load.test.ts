/** Answers made from stored tests: held in memory up to a number of bytes, and never for who may not see the test. */
import { readFileSync } from 'node:fs'
import { type Context, evaluate, latestEdition, type Sheet } from '@liftledger/calc'
import { canonicalJson } from '@liftledger/ledger'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { type RegisteredFirm, registerFirm } from '../db/testing.ts'
import { sha256 } from '../http/sha256.ts'
import { loadTest, TestReader } from './load.ts'
import { submissionOf } from './testing.ts'
import { type Submission, write } from './write.ts'

let database: ClonedDatabase
let databases: Databases
let [ours, theirs]: RegisteredFirm[] = []
let own: Submission[]

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
  ours = await registerFirm(databases)
  theirs = await registerFirm(databases)
  own = Array.from({ length: 12 }, (_, n) => honest(ours!, n))
  await write(databases.writer, own)
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

const golden = JSON.parse(
  readFileSync(new URL('../../../../tests/golden/2026-1/SHEET-01.json', import.meta.url), 'utf8'),
) as { sheet: Sheet; context: Context }
const recorded = sha256(canonicalJson(evaluate(golden.sheet, golden.context, latestEdition)))

/** A test that evaluates as recorded; each with other bytes. */
const honest = (firm: RegisteredFirm, spaces: number): Submission =>
  submissionOf(firm, {
    raw: Buffer.from(JSON.stringify(golden.sheet) + ' '.repeat(spaces)),
    context: Buffer.from(canonicalJson(golden.context)),
    evaluationSha256: recorded,
  })

/** A reader that counts how often it makes an answer. */
function counting(bytesMax?: number) {
  const reader = new TestReader(databases, bytesMax)
  const counted = { made: 0 }
  const read = async (test: Submission, name = 'sheet', { principal } = ours!) =>
    reader.answer(principal, test.id, name, ({ stored }) => {
      counted.made += 1
      return `${name}${stored.raw}`
    })
  return Object.assign(read, { counted })
}

describe('an answer about a test', () => {
  test('is made once for each name, and the same bytes come again', async () => {
    const read = counting()
    const first = await read(own[0]!)
    expect(first.toString()).toBe(`sheet${own[0]!.raw}`)
    expect(await read(own[0]!)).toBe(first)
    expect((await read(own[0]!, 'other')).toString()).toBe(`other${own[0]!.raw}`)
    expect(read.counted.made).toBe(2)
  })

  test('is made once where many ask in the same turn', async () => {
    const read = counting()
    const answers = await Promise.all(Array.from({ length: 20 }, () => read(own[1]!)))
    expect(new Set(answers).size).toBe(1)
    expect(read.counted.made).toBe(1)
  })

  test('is not there for a firm that may not see the test, also while it is held for another', async () => {
    const read = counting()
    await read(own[2]!)
    await expect(read(own[2]!, 'sheet', theirs)).rejects.toMatchObject({ code: 'not-found' })
    expect(read.counted.made).toBe(1)
  })

  test('is let go of when others were used since that take too many bytes', async () => {
    // Room for the rows and answers of about six tests.
    const read = counting(60_000)
    for (const test of own) await read(test)
    expect(read.counted.made).toBe(own.length)
    await read(own.at(-1)!)
    expect(read.counted.made).toBe(own.length)
    await read(own[0]!)
    expect(read.counted.made).toBe(own.length + 1)
  })

  test('is made each time where nothing may be held', async () => {
    const read = counting(10)
    await read(own[0]!)
    await read(own[0]!)
    expect(read.counted.made).toBe(2)
  })
})

test('a test of an edition that is not here is told as a conflict that names it', async () => {
  const later = submissionOf(ours!, { edition: '2099-9' })
  await write(databases.writer, [later])
  const told = { code: 'conflict', message: expect.stringContaining('the edition 2099-9') }
  await expect(counting()(later)).rejects.toMatchObject(told)
  await expect(databases.asPrincipal(ours!.principal, (tx) => loadTest(tx, later.id))).rejects.toMatchObject(told)
})
