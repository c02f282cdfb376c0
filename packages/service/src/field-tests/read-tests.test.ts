/** Gathered reads on a real database: each item behind its own reader's wall, and nothing left behind. */
import { randomUUID } from 'node:crypto'
import type pg from 'pg'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { uuidArray } from '../db/binary-array.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { markOf } from '../db/read-tests.ts'
import {
  admin,
  auditor,
  connect,
  keeper,
  onConnection,
  type RegisteredFirm,
  registerFirm,
  registerProgram,
} from '../db/testing.ts'
import type { Principal } from '../http/principal.ts'
import { submissionOf } from './testing.ts'
import { type Submission, write } from './write.ts'

let database: ClonedDatabase
let databases: Databases
let [ours, theirs]: RegisteredFirm[] = []
let program: Principal & { programId: string }
let own: Submission[]
let foreign: Submission
const READERS = 40

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
  ours = await registerFirm(databases)
  theirs = await registerFirm(databases)
  program = await registerProgram(databases)
  own = [submissionOf(ours), submissionOf(ours)]
  foreign = submissionOf(theirs)
  await write(databases.writer, [...own, foreign])
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

const idOf = (answer: Awaited<ReturnType<Databases['readTest']>>) =>
  answer === undefined ? undefined : (answer.stored?.id ?? 'known')
const STANDING = { soundness: 'sound', successor: null, compared: null }

describe('a test that is read', () => {
  test('comes as it was written, with its place in the ledger', async () => {
    const sent = own[1]!
    const found = await databases.readTest(ours!.principal, sent.id)
    expect(found?.standing).toEqual(STANDING)
    expect(found?.stored).toEqual({
      id: sent.id,
      firmId: sent.firmId,
      plantId: sent.plantId,
      testedOn: sent.testedOn,
      receivedAt: sent.receivedAt,
      edition: sent.edition,
      soundness: sent.soundness,
      raw: sent.raw,
      rawSha256: sent.rawSha256,
      context: sent.context,
      contextSha256: sent.contextSha256,
      evaluationSha256: sent.evaluationSha256,
      ledgerIndex: 1,
      revision: 1,
      revises: null,
    })
  })

  test('is known by its mark, and comes whole under any other', async () => {
    const [sent] = own
    expect(await databases.readTest(ours!.principal, sent!.id, markOf(sent!))).toEqual({ standing: STANDING })
    for (const change of [
      { rawSha256: Buffer.alloc(32) },
      { contextSha256: Buffer.alloc(32) },
      { evaluationSha256: Buffer.alloc(32) },
      { edition: '2025-1' },
    ]) {
      const mark = markOf({ ...sent!, ...change })
      const found = await databases.readTest(ours!.principal, sent!.id, mark)
      expect(found?.stored).toMatchObject({ id: sent!.id, raw: sent!.raw })
    }
  })

  test('is nothing to another firm, whether it holds the mark or not', async () => {
    for (const [reader, sent] of [
      [ours!, foreign],
      [theirs!, own[0]!],
    ] as const) {
      expect(await databases.readTest(reader.principal, sent.id)).toBeUndefined()
      expect(await databases.readTest(reader.principal, sent.id, markOf(sent))).toBeUndefined()
    }
    expect(await databases.readTest(ours!.principal, randomUUID())).toBeUndefined()
  })

  test('is seen by each in a crowd as if alone, whoever else asks in the same message', async () => {
    const crowd = Array.from({ length: READERS }, (_, n) => {
      const reader = n % 3 === 0 ? theirs! : ours!
      const sent = [own[0]!, foreign, own[1]!, foreign][n % 4]!
      return { reader, sent, mark: n % 5 === 0 ? markOf(sent) : undefined }
    })
    const seen = await Promise.all(
      crowd.map(({ reader, sent, mark }) => databases.readTest(reader.principal, sent.id, mark)),
    )
    const due = crowd.map(({ reader, sent, mark }) =>
      reader.firmId === sent.firmId ? (mark === undefined ? sent.id : 'known') : undefined,
    )
    expect(seen.map(idOf)).toEqual(due)
    expect(new Set(due).size).toBe(5)
  })

  test('is seen by a program from consent to withdrawal, by auditor and keeper always, and never by an administrator', async () => {
    const seenBy = async (principal: Principal) =>
      (await Promise.all([own[0]!, foreign].map(({ id }) => databases.readTest(principal, id)))).map(idOf)
    const say = (turn: number, consent: 'given' | 'withdrawn') =>
      databases.asPrincipal(ours!.principal, (tx) =>
        tx
          .insertInto('test_program')
          .values({
            test_id: own[0]!.id,
            program_id: program.programId,
            firm_id: ours!.firmId,
            tested_on: own[0]!.testedOn,
            turn,
            consent,
            consented_at: new Date(),
            key_id: 'firmfirmfirm',
          })
          .execute(),
      )
    expect(await seenBy(program)).toEqual([undefined, undefined])
    await say(1, 'given')
    expect(await seenBy(program)).toEqual([own[0]!.id, undefined])
    expect(await seenBy({ ...program, programId: randomUUID() })).toEqual([undefined, undefined])
    await say(2, 'withdrawn')
    expect(await seenBy(program)).toEqual([undefined, undefined])
    for (const reader of [auditor, keeper]) expect(await seenBy(reader)).toEqual([own[0]!.id, foreign.id])
    await expect(seenBy(admin)).rejects.toThrow(/permission denied/)
  })

  test('is never read for a firm that is none', async () => {
    for (const firmId of [undefined, '', "' or true --"]) {
      const principal = { ...ours!.principal, firmId } as Principal
      await expect(databases.readTest(principal, own[0]!.id)).rejects.toThrow(/names no firm/)
    }
  })
})

describe('the function itself', () => {
  const call = (
    client: pg.Client,
    setting: string | null,
    readers: readonly (string | null)[],
    ids: readonly string[],
  ) =>
    client.query<{ place: number; firm: string }>('select place, firm from ll.read_tests($1, $2, $3, $4)', [
      setting,
      uuidArray(readers),
      uuidArray(ids),
      `{${ids.map(() => 'null').join()}}`,
    ])
  const settings = ['app.firm', 'app.program']
  const settingsOf = async (client: pg.Client) =>
    Promise.all(
      settings.map(
        async (name) => (await client.query('select current_setting($1, true) as v', [name])).rows[0].v ?? '',
      ),
    )

  test('leaves no reader behind: neither after it, nor in the transaction it is part of, nor when it fails', async () => {
    const client = await connect(database.url, 'll_firm')
    const count = async () => (await client.query('select count(*)::int as n from field_test')).rows[0].n
    const read = () => call(client, 'app.firm', [ours!.firmId, theirs!.firmId], [own[0]!.id, foreign.id])

    expect((await read()).rows.map(({ place, firm }) => [place, firm])).toEqual([
      [1, ours!.firmId],
      [2, theirs!.firmId],
    ])
    expect([await settingsOf(client), await count()]).toEqual([['', ''], 0])

    await client.query('begin')
    await read()
    expect([await settingsOf(client), await count()]).toEqual([['', ''], 0])
    await client.query('savepoint before')
    await expect(call(client, 'no such setting', [ours!.firmId], [own[0]!.id])).rejects.toThrow()
    await client.query('rollback to before')
    expect([await settingsOf(client), await count()]).toEqual([['', ''], 0])
    await client.query('commit')
    expect([await settingsOf(client), await count()]).toEqual([['', ''], 0])
  })

  test('reads nothing for nobody, also where the transaction had a firm before', async () => {
    const client = await connect(database.url, 'll_firm')
    await client.query('begin')
    await client.query("select set_config('app.firm', $1, true)", [ours!.firmId])
    expect((await call(client, 'app.firm', [null], [own[0]!.id])).rows).toEqual([])
    await client.query('rollback')
  })

  test('has the rights of its caller, and is nobody else’s to call', async () => {
    const rows = await onConnection(database.url, undefined, async (client) => {
      const answer = await client.query<{ definer: boolean; callers: string[] }>(
        `select prosecdef as definer,
                array(select r from unnest(array['ll_firm', 'll_program', 'll_auditor', 'll_keeper', 'll_admin', 'll_writer', 'll_gate']) r
                      where has_function_privilege(r, oid, 'execute')) as callers
         from pg_proc where proname = 'read_tests'`,
      )
      return answer.rows
    })
    expect(rows).toEqual([{ definer: false, callers: ['ll_firm', 'll_program', 'll_auditor', 'll_keeper'] }])
  })
})

test('a connection lost under a message fails those in it, and the next ones are answered', async () => {
  const reading = Array.from({ length: 8 }, () => databases.readTest(theirs!.principal, foreign.id))
  const settled = Promise.allSettled(reading)
  await onConnection(database.url, undefined, (client) =>
    client.query(
      "select pg_terminate_backend(pid) from pg_stat_activity where application_name = 'liftledger ll_firm'",
    ),
  )
  for (const one of await settled) {
    if (one.status === 'fulfilled') expect(idOf(one.value)).toBe(foreign.id)
    else expect(String(one.reason)).toMatch(/terminat|connection/i)
  }
  expect(idOf(await databases.readTest(theirs!.principal, foreign.id))).toBe(foreign.id)
})
