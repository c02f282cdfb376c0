/** A database as an earlier version left it, and today's service on it. */
import { readFile } from 'node:fs/promises'
import { pino } from 'pino'
import { migrate, readMigrations } from '../../packages/service/src/db/migrate.ts'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import { makeLog } from '../../packages/service/src/log.ts'
import { type Service, startService } from '../../packages/service/src/serve.ts'
import { type ClonedDatabase, emptyDatabase } from '../setup/database.ts'
import { TEST_PEPPER, TEST_SIGNING_KEY, UNLIMITED } from '../setup/service.ts'
import { loadRows } from './rows.ts'

export const ORIGIN = 'liftledger.example'

export interface EarlierDatabase extends ClonedDatabase {
  /** Keys that firms had in it, by the name in the file. */
  readonly keys: Readonly<Record<string, string>>
}

/** `name` of the fixture, which ends in the number of the last migration that its version had. */
export async function earlierDatabase(name: string): Promise<EarlierDatabase> {
  const sql = await readFile(new URL(`fixtures/${name}.sql`, import.meta.url), 'utf8')
  const count = Number(/\d{4}$/.exec(name)?.[0])
  const database = await emptyDatabase()
  await migrate(database.url, pino({ level: 'silent' }), (await readMigrations()).slice(0, count))
  await loadRows(database.url, sql)
  // Whenever this runs, the keys of then are in force.
  await onConnection(database.url, undefined, (client) =>
    client.query(`update ll.api_key set expires_at = greatest(expires_at, now() + interval '1 day')`),
  )
  const keys = Object.fromEntries([...sql.matchAll(/^-- key (\S+) (\S+)$/gm)].map(([, firm, key]) => [firm, key]))
  return { ...database, keys }
}

/** Today's service, whole, with its migrations and, unless settings say otherwise, its work in the background; `log` gets its lines. */
export async function startOn(
  url: string,
  log: string[] = [],
  settings: Readonly<Record<string, string>> = {},
): Promise<Service> {
  return startService({
    environment: {
      DATABASE_URL: url,
      KEY_PEPPER: TEST_PEPPER,
      LEDGER_SIGNING_KEY: TEST_SIGNING_KEY,
      LEDGER_ORIGIN: ORIGIN,
      PORT: '0',
      NODE_ENV: 'test',
      ...UNLIMITED,
      ...settings,
    },
    log: makeLog('info', { write: (line) => void log.push(line) }),
  })
}

/** Names of the migrations that the lines say were applied. */
export const appliedIn = (log: readonly string[]): string[] =>
  log
    .map((line) => JSON.parse(line) as { msg: string; migration: string })
    .filter(({ msg }) => msg === 'migration applied')
    .map(({ migration }) => migration)
