import { execFile } from 'node:child_process'
import { mkdtemp } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest'
import { cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Embedded, startEmbedded } from './embedded.ts'
import { type Migration, migrate, pendingMigrations, readMigrations } from './migrate.ts'
import { OWNER_ROLE, POOL_ROLES } from './roles.ts'
import { connect, onConnection } from './testing.ts'

const log = pino({ level: 'silent' })
const names = (await readMigrations()).map((migration) => migration.name)

describe('the past of a database', () => {
  const [first, second, third] = ['1', '2', '3'].map((digit) => ({
    name: `000${digit}-x.sql`,
    sql: '',
    sha256: digit.repeat(64),
  })) as [Migration, Migration, Migration]

  test('leaves to do what was not done', () => {
    expect(pendingMigrations([first, second, third], [])).toEqual([first, second, third])
    expect(pendingMigrations([first, second, third], [first])).toEqual([second, third])
    expect(pendingMigrations([first, second], [first, second])).toEqual([])
  })
  test('is refused when it is ahead of the code', () => {
    expect(() => pendingMigrations([first], [first, second])).toThrow(/ahead of this version: it has migration 0002-x/)
  })
  test('is refused when a file was changed after it was applied', () => {
    expect(() => pendingMigrations([first, second], [{ ...first, sha256: second.sha256 }])).toThrow(
      /0001-x.sql was changed/,
    )
  })
  test('is refused when a file was put between', () => {
    expect(() => pendingMigrations([first, second, third], [first, third])).toThrow(/0002-x.sql was never applied/)
  })
})

test('a migrated database has nothing left to do, and says so when it was tampered with', async () => {
  const { url, drop } = await cloneDatabase()
  onTestFinished(drop)
  expect(await migrate(url, log)).toEqual({ applied: [] })
  const client = await connect(url)
  await client.query("insert into ll.migration (name, sha256) values ('9999-later.sql', repeat('0', 64))")
  await expect(migrate(url, log)).rejects.toThrow(/ahead of this version/)
  await client.query("delete from ll.migration where name = '9999-later.sql'")
  await client.query("update ll.migration set sha256 = repeat('0', 64) where name like '0002%'")
  await expect(migrate(url, log)).rejects.toThrow(/0002-registry.sql was changed/)
})

describe('a server without our roles', () => {
  let server: Embedded

  beforeAll(async () => {
    const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-migrate-'))
    server = await startEmbedded({ directory, persistent: false, settings: { fsync: 'off' } })
    await run(
      "create role maker login createrole password 'maker'",
      "create role plain login password 'plain'",
      'create database made owner maker',
      'create database plainly owner plain',
      ...['one', 'two', 'three', 'four', 'shared'].map((name) => `create database ${name}`),
    )
  })
  afterAll(() => server.stop())

  const run = (...statements: string[]) =>
    onConnection(server.url, undefined, async (client) => {
      for (const statement of statements) await client.query(statement)
    })
  const at = (database: string, user?: string): string => {
    const url = new URL(server.url)
    url.pathname = database
    if (user) url.username = url.password = user
    return url.href
  }
  const refusal = (url: string): Promise<string> =>
    migrate(url, log).then(
      () => 'migrated',
      (error: Error) => error.message,
    )

  test('tells a user that may not make roles what an administrator has to run', async () => {
    expect(await refusal(at('plainly', 'plain'))).toMatch(
      /create role ll_owner nologin;.* create role ll_sharing nologin; grant ll_owner, ll_firm, .*, ll_gate, ll_integrator, ll_statistics, ll_sharing to plain;/,
    )
  })

  test('is ready for a user that may make roles, who then owns no table', async () => {
    expect(await migrate(at('made', 'maker'), log)).toEqual({ applied: names })
    const client = await connect(at('made', 'maker'))
    const { rows } = await client.query(
      "select distinct pg_get_userbyid(relowner)::text as owner from pg_class where relnamespace = 'll'::regnamespace",
    )
    expect(rows).toEqual([{ owner: OWNER_ROLE }])
    const inRole = await connect(at('made', 'maker'), 'll_firm')
    expect((await inRole.query('select count(*)::int as tests from field_test')).rows).toEqual([{ tests: 0 }])
  })

  test('refuses another encoding than UTF-8', async () => {
    await run("create database odd template template0 encoding 'LATIN1' lc_collate 'C' lc_ctype 'C'")
    expect(await refusal(at('odd'))).toMatch(/encoded in LATIN1; create it anew with encoding 'UTF8'/)
  })

  test('takes four databases at once', async () => {
    await run('drop database made with (force)', ...[OWNER_ROLE, ...POOL_ROLES].map((role) => `drop role ${role}`))
    const all = await Promise.all(['one', 'two', 'three', 'four'].map((name) => migrate(at(name), log)))
    expect(all).toEqual(Array(4).fill({ applied: names }))
  })

  test('takes four processes on one database at once: one applies, the others find it done', async () => {
    const file = fileURLToPath(new URL('./migrate.ts', import.meta.url))
    const env = { ...process.env, DATABASE_URL: at('shared') }
    const ends = await Promise.all(
      Array.from({ length: 4 }, async () => {
        const { stdout } = await promisify(execFile)(process.execPath, [file], { env })
        return JSON.parse(stdout.trim().split('\n').at(-1) ?? '').applied as string[]
      }),
    )
    expect(ends.sort((a, b) => a.length - b.length)).toEqual([[], [], [], names])
  })

  test('takes the user once the administrator has run what was asked for', async () => {
    const asked = /run once: (.*;)/.exec(await refusal(at('plainly', 'plain')))?.[1]
    expect(asked).toMatch(/^grant /)
    await run(asked ?? '')
    expect(await migrate(at('plainly', 'plain'), log)).toEqual({ applied: names })
  })
})
