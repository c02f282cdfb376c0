/** What the database itself keeps of notes, asked past the routes. */
import { createHash, randomUUID } from 'node:crypto'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { connect, type RegisteredFirm, registerFirm } from '../db/testing.ts'
import { submissionOf } from '../field-tests/testing.ts'
import { write } from '../field-tests/write.ts'

let database: ClonedDatabase
let databases: Databases
let ours: RegisteredFirm
let theirs: RegisteredFirm
let [given, foreign] = ['', '']

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
  ours = await registerFirm(databases)
  theirs = await registerFirm(databases)
  const written = await write(databases.writer, [submissionOf(ours), submissionOf(theirs)])
  ;[given, foreign] = written.map((one) => one.id) as [string, string]
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

describe('a note', () => {
  const salt = Buffer.alloc(16, 7)
  const body = Buffer.from('{"kind":"remark","text":"invented"}')
  const hashOf = (...parts: Buffer[]) => createHash('sha256').update(Buffer.concat(parts)).digest()
  const entry = Buffer.from('{"kind":"note"}')
  const leaf = hashOf(Buffer.of(0), entry)
  const id = randomUUID()
  const keep = (hash: Buffer, note = id, test = given) =>
    databases.writer.query('select ll.write_note($1, $2, $3, $4, $5, $6, $7, now(), $8, $9)', [
      ...[note, ours.firmId, test, hash, salt, body, 'firmfirmfirm', entry, leaf],
    ])
  const erase = (firm = ours.firmId) =>
    databases.writer.query('select ll.erase_note($1, $2, $3, now(), $4, $5) as place', [id, firm, given, entry, leaf])
  const entries = async () => {
    const { rows } = await (await connect(database.url)).query('select kind, index from ll.ledger_entry order by index')
    expect(rows.map(({ index }) => Number(index))).toEqual(rows.map((_, place) => place))
    return rows.map(({ kind }) => kind as string)
  }

  test('is kept and erased once, each with its entry in the ledger, or not at all', async () => {
    const before = await entries()
    await expect(keep(Buffer.alloc(32))).rejects.toThrow(/hash_check/)
    await expect(keep(hashOf(salt, body), randomUUID(), foreign)).rejects.toThrow(/foreign key constraint/)
    expect(await entries()).toEqual(before)
    await keep(hashOf(salt, body))
    expect(await entries()).toEqual([...before, 'note'])

    expect((await erase(theirs.firmId)).rows).toEqual([{ place: null }])
    expect((await erase()).rows).toEqual([{ place: before.length + 1 }])
    expect((await erase()).rows).toEqual([{ place: null }])
    expect(await entries()).toEqual([...before, 'note', 'note-erased'])
    const left = await databases.asPrincipal(ours.principal, (tx) =>
      tx.selectFrom('test_note').select(['body', 'salt', 'sha256']).execute(),
    )
    expect(left).toEqual([{ body: null, salt: null, sha256: hashOf(salt, body) }])
  })

  test('is changed in no other way, by nobody', async () => {
    await keep(hashOf(salt, body), randomUUID())
    const login = await connect(database.url)
    await expect(login.query("update ll.test_note set body = 'other' where body is not null")).rejects.toThrow(
      /erased once/,
    )
    await expect(
      login.query('update ll.test_note set body = null, erased_at = now() where body is not null'),
    ).rejects.toThrow(/erasure_check/)
    await expect(login.query('update ll.test_note set erased_at = now() where body is null')).rejects.toThrow(
      /erased once/,
    )
    for (const deed of ["insert into test_note (id, body) values (gen_random_uuid(), '')", 'delete from test_note']) {
      const firm = await connect(database.url, 'll_firm')
      await expect(firm.query(deed), deed).rejects.toThrow(/permission denied/)
    }
  })

  test('is written by the writer, who can not read it', async () => {
    const writer = await connect(database.url, 'll_writer')
    for (const column of ['body', 'salt', 'sha256']) {
      await expect(writer.query(`select ${column} from test_note`), column).rejects.toThrow(/permission denied/)
    }
  })
})
