/** A database of its own for a test file. */
import { randomBytes } from 'node:crypto'
import { setTimeout as sleep } from 'node:timers/promises'
import pg from 'pg'
import { inject } from 'vitest'

export interface ClonedDatabase {
  /** URL of the login user; a superuser on the embedded server. */
  readonly url: string
  drop(): Promise<void>
}

/** Copies the migrated template; takes some ten milliseconds. */
export const cloneDatabase = (): Promise<ClonedDatabase> => databaseFrom(inject('templateName'))

/** One in which nothing was done yet. */
export const emptyDatabase = (): Promise<ClonedDatabase> =>
  databaseFrom(`template0 encoding 'UTF8' lc_collate 'C' lc_ctype 'C'`)

async function databaseFrom(template: string): Promise<ClonedDatabase> {
  const name = `${inject('templateName')}_${randomBytes(4).toString('hex')}`
  await createFrom(template, name)
  const url = new URL(inject('adminUrl'))
  url.pathname = name
  return {
    url: url.href,
    drop: () =>
      asAdmin(async (client) => {
        await untilLeft(client, name)
        await client.query(`drop database if exists ${name} with (force)`)
      }),
  }
}

/** Connections that were ended take a moment to leave; a forced drop would cut them as if the server had failed. */
async function untilLeft(client: pg.Client, name: string): Promise<void> {
  for (let tries = 0; tries < 40; tries++) {
    const { rows } = await client.query('select 1 from pg_stat_activity where datname = $1 limit 1', [name])
    if (rows.length === 0) return
    await sleep(25)
  }
}

const BUSY_TEMPLATE = '55006'

async function createFrom(template: string, name: string): Promise<void> {
  await asAdmin(async (client) => {
    for (let tries = 1; ; tries++) {
      try {
        return await client.query(`create database ${name} template ${template}`)
      } catch (error) {
        // A background process of the server may look into the template at this moment.
        if (tries === 20 || (error as { code?: string }).code !== BUSY_TEMPLATE) throw error
        await sleep(50)
      }
    }
  })
}

async function asAdmin(fn: (client: pg.Client) => Promise<unknown>): Promise<void> {
  const client = new pg.Client(inject('adminUrl'))
  await client.connect()
  try {
    await fn(client)
  } finally {
    await client.end()
  }
}
