/**
 * Test help, a process of its own: reads addresses of a stored service with a calculation that differs in one text.
 *
 * The text is changed as the file is loaded, so that everything from there on is the service as it is. Prints the
 * answers, by address, as JSON.
 */
import { registerHooks } from 'node:module'

interface Change {
  /** Name of a file of the calculation, and the one text in it that becomes another. */
  readonly file: string
  readonly from: string
  readonly to: string
}

const change = JSON.parse(process.env.CHANGE!) as Change
let changed = false
registerHooks({
  load(url, context, next) {
    const loaded = next(url, context)
    if (!url.endsWith(`/packages/calc/src/${change.file}`)) return loaded
    const source = String(loaded.source)
    changed = source.includes(change.from)
    return { ...loaded, source: source.replace(change.from, change.to) }
  },
})

const { pino } = await import('pino')
const { buildApp } = await import('../app.ts')
const { loadConfig } = await import('../config.ts')
const { openDatabases } = await import('../db/database.ts')
const { uuidMaker } = await import('../http/ids.ts')
const { newSalt } = await import('../http/random.ts')

const config = loadConfig({
  DATABASE_URL: process.env.DATABASE_URL,
  KEY_PEPPER: process.env.KEY_PEPPER,
  LEDGER_SIGNING_KEY: process.env.LEDGER_SIGNING_KEY,
  RATE_PER_MINUTE: '0',
})
const log = pino({ level: 'silent' })
const databases = await openDatabases(config.databaseUrl!, { production: false, log })
const app = await buildApp({ config, databases, log, now: () => new Date(), newId: uuidMaker(Date.now), newSalt })
if (!changed) throw new Error(`${change.file} does not have '${change.from}'.`)

const answers: Record<string, { status: number; body: unknown }> = {}
for (const url of JSON.parse(process.env.ADDRESSES!) as string[]) {
  const answer = await app.inject({ url, headers: { authorization: `Bearer ${process.env.API_KEY}` } })
  answers[url] = { status: answer.statusCode, body: answer.json() }
}
await app.close()
await databases.close()
process.stdout.write(JSON.stringify(answers))
