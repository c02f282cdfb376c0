/**
 * `npm run plans`: how the database answers the hot queries over 100,000 tests, for each kind of reader.
 *
 * Runs on the embedded Postgres, or with `-- --url URL` on the server of a superuser's URL, in a database of its own
 * that it drops. Ends with 1 if a table that grows with the tests is read from end to end.
 */
import { randomBytes } from 'node:crypto'
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { startEmbedded } from '@liftledger/service/embedded'
import { migrate } from '@liftledger/service/migrate'
import pg from 'pg'
import { fill, type Size } from './fill.ts'
import { largeTablesIn, plansOf } from './plans.ts'
import { sample } from './sample.ts'

const { values: flags } = parseArgs({
  options: { url: { type: 'string' }, tests: { type: 'string', default: '100000' } },
})
const size: Size = { tests: Number(flags.tests), firms: 50, programs: 10, plantsPerFirm: 40 }

async function asSuperuser<T>(url: string, fn: (client: pg.Client) => Promise<T>): Promise<T> {
  const client = new pg.Client(url)
  await client.connect()
  try {
    return await fn(client)
  } finally {
    await client.end()
  }
}

async function onNewDatabase(serverUrl: string, fn: (url: string) => Promise<void>): Promise<void> {
  const name = `ll_plans_${randomBytes(3).toString('hex')}`
  const url = new URL(serverUrl)
  url.pathname = name
  await asSuperuser(serverUrl, (client) =>
    client.query(`create database ${name} template template0 encoding 'UTF8' lc_collate 'C' lc_ctype 'C'`),
  )
  try {
    await fn(url.href)
  } finally {
    await asSuperuser(serverUrl, (client) => client.query(`drop database ${name} with (force)`))
  }
}

const seconds = (since: number): string => `${((performance.now() - since) / 1000).toFixed(1)} s`

/** The plans as they come; answers those with a scan from end to end. */
async function tellPlans(url: string): Promise<string[]> {
  const bad: string[] = []
  let told = ''
  for await (const { reader, name, found } of plansOf(url, size)) {
    if (told !== reader) console.log(`\n${reader}`)
    told = reader
    const facts = `${found.ms.toFixed(1).padStart(8)} ms ${String(found.rows).padStart(3)} rows${found.sorts ? ', sorted' : ''}`
    console.log(`  ${name.padEnd(24)}${facts.padEnd(32)}${found.scans.join('; ')}`)
    const whole = largeTablesIn(found)
    if (whole.length > 0) bad.push(`${reader}, ${name}: ${whole.join(', ')}`)
  }
  return bad
}

async function run(serverUrl: string): Promise<void> {
  await onNewDatabase(serverUrl, async (url) => {
    await migrate(url, { info: () => undefined })
    const started = performance.now()
    await asSuperuser(url, async (client) => {
      await fill(client, size, sample())
      const { rows } = await client.query<{ server_version: string }>('show server_version')
      console.log(
        `Postgres ${rows[0]!.server_version}: ${size.tests.toLocaleString('en-US')} tests of ${size.firms} firms in ${seconds(started)}`,
      )
    })
    const bad = await tellPlans(url)
    console.log(
      bad.length === 0 ? '\nNo large table is read from end to end.' : `\nRead from end to end:\n${bad.join('\n')}`,
    )
    if (bad.length > 0) process.exitCode = 1
  })
}

if (flags.url !== undefined) await run(flags.url)
else {
  const directory = mkdtempSync(join(tmpdir(), 'liftledger-plans-'))
  const { url, stop } = await startEmbedded({ directory, persistent: false })
  try {
    await run(url)
  } finally {
    await stop()
  }
}
