/**
 * Brings a database to the state the code expects: plain SQL files, forward only.
 *
 * One process at a time (advisory lock on a connection of its own), one transaction per file. The
 * SHA-256 of each applied file is kept and compared at every start: a released file never changes.
 */
import { createHash } from 'node:crypto'
import { readdir, readFile } from 'node:fs/promises'
import pg from 'pg'
import { type Logger, pino } from 'pino'
import { DEVELOPMENT_DIRECTORY, startEmbedded } from './embedded.ts'
import { ensureRoles, OWNER_ROLE } from './roles.ts'

export interface Migration {
  readonly name: string
  readonly sql: string
  readonly sha256: string
}

export type MigrationLog = Pick<Logger, 'info'>

/** Any constant; equal in all processes that migrate the same database. */
const LOCK = 7_302_011_554
const FILE_NAME = /^(\d{4})-[a-z0-9]+(-[a-z0-9]+)*\.sql$/

/**
 * Applies what is missing and answers the names of the files applied, in order.
 *
 * @throws when an applied file was changed, the database is ahead of the code, the user may not migrate, or the encoding is not UTF-8.
 */
export async function migrate(
  url: string,
  log: MigrationLog,
  /** Those that an earlier version came with, to make a database as it made them; else all. */
  migrations?: readonly Migration[],
): Promise<{ applied: string[] }> {
  const known = migrations ?? (await readMigrations())
  const client = new pg.Client({ connectionString: url, application_name: 'liftledger migrate' })
  await client.connect()
  try {
    await client.query('set statement_timeout = 0')
    await insistOnUtf8(client)
    await ensureRoles(client)
    await client.query('select pg_advisory_lock($1)', [LOCK])
    // Only now: the wait for another process may be long, the wait for a busy table may not.
    await client.query("set lock_timeout = '5s'")
    await prepareSchema(client)
    const pending = pendingMigrations(known, await appliedMigrations(client))
    for (const migration of pending) {
      await apply(client, migration)
      log.info({ migration: migration.name }, 'migration applied')
    }
    return { applied: pending.map((migration) => migration.name) }
  } finally {
    // Closing the session gives the lock back, also after a failure.
    await client.end()
  }
}

/** The migrations that come with the code, in order. */
export async function readMigrations(folder = new URL('./migrations/', import.meta.url)): Promise<Migration[]> {
  const names = (await readdir(folder)).filter((name) => name.endsWith('.sql')).sort()
  names.forEach((name, position) => {
    if (Number(FILE_NAME.exec(name)?.[1]) !== position + 1) {
      throw new Error(
        `Migration ${name} must be named NNNN-title.sql with NNNN = ${String(position + 1).padStart(4, '0')}.`,
      )
    }
  })
  return Promise.all(
    names.map(async (name) => {
      const sql = await readFile(new URL(name, folder), 'utf8')
      return { name, sql, sha256: createHash('sha256').update(sql).digest('hex') }
    }),
  )
}

/** What is left to apply; refuses a database with another past than the code's. */
export function pendingMigrations(
  known: readonly Migration[],
  applied: readonly { name: string; sha256: string }[],
): Migration[] {
  applied.forEach(({ name, sha256 }, position) => {
    const expected = known[position]
    if (!expected || !known.some((migration) => migration.name === name)) {
      throw new Error(`The database is ahead of this version: it has migration ${name}. Start a version that knows it.`)
    }
    if (expected.name !== name) {
      throw new Error(
        `Migration ${expected.name} was never applied, but ${name} after it was. Files are only ever added at the end.`,
      )
    }
    if (expected.sha256 !== sha256) {
      throw new Error(
        `Migration ${name} was changed after it was applied. Put the file back and write a new migration.`,
      )
    }
  })
  return known.slice(applied.length)
}

async function insistOnUtf8(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ encoding: string }>("select current_setting('server_encoding') as encoding")
  if (rows[0]?.encoding === 'UTF8') return
  throw new Error(
    `The database is encoded in ${rows[0]?.encoding}; create it anew with encoding 'UTF8' from template0.`,
  )
}

async function prepareSchema(client: pg.Client): Promise<void> {
  await client.query('begin')
  const { rows } = await client.query<{ ready: boolean }>("select to_regclass('ll.migration') is not null as ready")
  if (!rows[0]?.ready) {
    await client.query(`create schema if not exists ll authorization ${OWNER_ROLE}`)
    await client.query(`set local role ${OWNER_ROLE}`)
    await client.query(`create table ll.migration (
      name text primary key,
      sha256 text not null check (sha256 ~ '^[0-9a-f]{64}$'),
      applied_at timestamptz not null default now())`)
  }
  await client.query('commit')
}

async function appliedMigrations(client: pg.Client): Promise<{ name: string; sha256: string }[]> {
  await client.query(`set role ${OWNER_ROLE}`)
  const { rows } = await client.query<{ name: string; sha256: string }>(
    'select name, sha256 from ll.migration order by name',
  )
  return rows
}

/** Runs as the owning role, so that the login user owns nothing. */
async function apply(client: pg.Client, migration: Migration): Promise<void> {
  try {
    await client.query('begin')
    await client.query(migration.sql)
    await client.query('insert into ll.migration (name, sha256) values ($1, $2)', [migration.name, migration.sha256])
    await client.query('commit')
  } catch (error) {
    await client.query('rollback').catch(() => undefined)
    const reason = error instanceof Error ? error.message : String(error)
    throw new Error(`Migration ${migration.name} failed, nothing of it was applied: ${reason}.`, { cause: error })
  }
}

/** `npm run migrate`: the database named by DATABASE_URL, else the embedded one of development. */
async function main(): Promise<void> {
  const log = pino()
  const embedded = process.env.DATABASE_URL ? undefined : await startEmbedded({ directory: DEVELOPMENT_DIRECTORY, log })
  try {
    const { applied } = await migrate(process.env.DATABASE_URL ?? embedded?.url ?? '', log)
    log.info({ applied }, applied.length > 0 ? 'database migrated' : 'database was up to date')
  } finally {
    await embedded?.stop()
  }
}

if (import.meta.main) {
  await main().catch((error: unknown) => {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`)
    process.exitCode = 1
  })
}
