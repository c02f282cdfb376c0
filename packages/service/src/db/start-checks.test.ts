import { mkdtemp } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { pino } from 'pino'
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest'
import { openDatabases } from './database.ts'
import { type Embedded, startEmbedded } from './embedded.ts'
import { migrate } from './migrate.ts'
import { connect, onConnection } from './testing.ts'

/** A server of its own: roles and settings are shared by all databases of one. */
let server: Embedded
let plainUrl: string
let logged: string[]
const log = pino({ level: 'warn' }, { write: (line: string) => logged.push(JSON.parse(line).msg) })

beforeAll(async () => {
  logged = []
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-checks-'))
  server = await startEmbedded({ directory, persistent: false })
  await run("create role service login createrole password 'service'", 'create database service owner service')
  const url = new URL(server.url)
  url.pathname = url.username = url.password = 'service'
  plainUrl = url.href
  await migrate(plainUrl, log)
})
afterAll(() => server.stop())
beforeEach(() => {
  logged = []
})

async function run(...statements: string[]): Promise<void> {
  await onConnection(server.url, undefined, async (client) => {
    for (const statement of statements) await client.query(statement)
  })
}

const opens = async (url: string, production: boolean): Promise<string> => {
  try {
    await (await openDatabases(url, { production, log })).close()
    return 'opened'
  } catch (error) {
    return error instanceof Error ? error.message : String(error)
  }
}
const superuserUrl = () => {
  const url = new URL(server.url)
  url.pathname = 'service'
  return url.href
}

test('a plain user on a sound server is taken without a word', async () => {
  expect(await opens(plainUrl, true)).toBe('opened')
  expect(logged).toEqual([])
})

test("a superuser's URL is refused in production, and warned of elsewhere", async () => {
  expect(await opens(superuserUrl(), true)).toMatch(/logs in as superuser postgres: name a user without/)
  expect(await opens(superuserUrl(), false)).toBe('opened')
  expect(logged).toEqual([expect.stringMatching(/superuser postgres.*Tolerated outside production/)])
})

test('a server that may lose commits is refused in production, with everything wrong at once', async () => {
  await setting('fsync', 'off')
  await setting('full_page_writes', 'off')
  expect(await opens(plainUrl, true)).toMatch(/fsync off.*full_page_writes off/)
  expect(await opens(plainUrl, false)).toBe('opened')
  expect(logged).toHaveLength(2)
  await setting('fsync', 'on')
  await setting('full_page_writes', 'on')
  expect(await opens(plainUrl, true)).toBe('opened')
})

async function setting(name: string, value: string): Promise<void> {
  await run(`alter system set ${name} = ${value}`, 'select pg_reload_conf()')
  // The server reads it again a moment later.
  const shown = () =>
    onConnection(server.url, undefined, async (client) => (await client.query(`show ${name}`)).rows[0][name])
  while ((await shown()) !== value);
}

test.each([
  ['alter role ll_gate bypassrls', 'alter role ll_gate nobypassrls', /Role ll_gate bypasses row-level security/],
  ['alter role ll_firm superuser', 'alter role ll_firm nosuperuser', /Role ll_firm is a superuser/],
  [
    'grant ll_owner to ll_keeper',
    'revoke ll_owner from ll_keeper',
    /Role ll_keeper owns tables or may become ll_owner/,
  ],
])('a role that walks past policies is always refused: %s', async (harm, remedy, message) => {
  await run(harm)
  for (const production of [true, false]) expect(await opens(plainUrl, production)).toMatch(message)
  await run(remedy)
  expect(await opens(plainUrl, true)).toBe('opened')
})

test('a role that owns a table is refused', async () => {
  const client = await connect(superuserUrl())
  await client.query('create table ll.stray (); alter table ll.stray owner to ll_writer')
  expect(await opens(plainUrl, false)).toMatch(/Role ll_writer owns tables/)
  await client.query('drop table ll.stray')
})

test('a database that is not there is told as such', async () => {
  const url = new URL(plainUrl)
  url.pathname = 'nowhere'
  expect(await opens(url.href, true)).toMatch(/database "nowhere" does not exist/)
})
