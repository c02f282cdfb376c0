/** Copies of an honest record to try changes on. */
import { setTimeout as sleep } from 'node:timers/promises'
import pg from 'pg'
import { pino } from 'pino'
import { migrate } from '../../packages/service/src/db/migrate.ts'
import { Chance } from './chance.ts'
import { columnsOf, takeGuardsAway } from './columns.ts'
import { makeHonestRecord } from './honest-record.ts'
import { type Bench, remembered } from './trials.ts'

/** URL of another database of the same server. */
export function urlOf(adminUrl: string, database: string): string {
  const url = new URL(adminUrl)
  url.pathname = database
  return url.href
}

const PATIENCE_MS = 20_000
/** Not up, not up again yet, or gone while it was asked. */
const NOT_UP = new Set(['57P03', '57P02', '57P01', 'ECONNRESET', 'ECONNREFUSED', 'EPIPE'])

const isNotUp = (error: unknown): boolean =>
  NOT_UP.has(String((error as { code?: string }).code)) || /terminated unexpectedly/.test(String(error))

/** A connection; waits for a server that a damaged page brought down, and that is coming up again. */
export async function connected(url: string): Promise<pg.Client> {
  for (const until = Date.now() + PATIENCE_MS; ; ) {
    const client = new pg.Client({ connectionString: url, application_name: 'liftledger trials' })
    // The query under way fails by itself.
    client.on('error', () => undefined)
    try {
      await client.connect()
      return client
    } catch (error) {
      if (Date.now() > until || !isNotUp(error)) throw error
      await sleep(100)
    }
  }
}

export async function asAdmin<T>(adminUrl: string, fn: (client: pg.Client) => Promise<T>): Promise<T> {
  const client = await connected(adminUrl)
  try {
    return await fn(client)
  } finally {
    await client.end().catch(() => undefined)
  }
}

/** Makes an honest record in a new database of that name. */
export async function honestDatabase(
  adminUrl: string,
  { name, tests, seed }: { name: string; tests: number; seed: number },
): Promise<void> {
  await asAdmin(adminUrl, (admin) =>
    admin.query(`create database ${name} template template0 encoding 'UTF8' lc_collate 'C' lc_ctype 'C'`),
  )
  const url = urlOf(adminUrl, name)
  await migrate(url, pino({ level: 'silent' }))
  await makeHonestRecord(url, { tests, chance: new Chance(seed) })
}

/** Drops databases, also where the server goes down meanwhile. */
export async function dropped(adminUrl: string, names: readonly string[]): Promise<void> {
  for (const name of names) {
    for (let tries = 1; ; tries++) {
      try {
        await asAdmin(adminUrl, (admin) => admin.query(`drop database if exists ${name} with (force)`))
        break
      } catch (error) {
        if (tries === 5 || !isNotUp(error)) throw error
      }
    }
  }
}

export interface Benches {
  readonly bench: Bench
  close(): Promise<void>
}

/** Two copies of the honest database: one without guards, to change, and one with them, to see what they refuse. */
export async function openBenches(adminUrl: string, { name, seed }: { name: string; seed: number }): Promise<Benches> {
  const copies = [`${name}_bare`, `${name}_guarded`] as const
  await asAdmin(adminUrl, async (admin) => {
    for (const copy of copies) await admin.query(`create database ${copy} template ${name}`)
  })
  const [bare, guarded] = await Promise.all([
    connected(urlOf(adminUrl, copies[0])),
    connected(urlOf(adminUrl, copies[1])),
  ])
  await takeGuardsAway(bare)
  const bench = { bare, guarded, columns: await columnsOf(bare), derive: remembered(), chance: new Chance(seed + 1) }
  return {
    bench,
    async close() {
      await Promise.all([bare.end(), guarded.end()])
      await dropped(adminUrl, copies)
    },
  }
}
