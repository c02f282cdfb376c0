/**
 * `npm run load-basin`: a simulated basin and its visits into a database, every one of them through the public API, by
 * the SDK and the keys of their firms; says how long it took.
 *
 * Flags: `--tests 20000` at least so many, `--years 4`, `--url URL` of a database to fill and keep (else one that is
 * thrown away), `--mistakes 0.03`, `--biased 3`, `--seed 1`, `--json FILE` as of the bench.
 */
import { writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { simulateBasin } from '@liftledger/simulator'
import pg from 'pg'
import { registerSimulated, submitVisits } from '../../seed/fill.ts'
import type { Figure } from './rounds.ts'
import { CONNECTIONS, freshDatabase, startServer, stopDatabase } from './servers.ts'
import { machine } from './versions.ts'

const { values: flags } = parseArgs({
  options: {
    tests: { type: 'string', default: '20000' },
    years: { type: 'string', default: '4' },
    seed: { type: 'string', default: '1' },
    mistakes: { type: 'string', default: '0.03' },
    biased: { type: 'string', default: '3' },
    url: { type: 'string' },
    json: { type: 'string' },
  },
})

/** At least as many as asked for: each plant is visited about once a year, and twice more around a repair. */
function basinOf(tests: number, years: number) {
  const plants = Math.ceil(tests / years)
  return simulateBasin({
    seed: Number(flags.seed),
    plants,
    years,
    firms: Math.max(2, Math.ceil(plants / 250)),
    testersPerFirm: 2,
    mistakes: Number(flags.mistakes),
    biased: Number(flags.biased),
  })
}

/** Tests that the database holds, by asking it and not those who sent them. */
async function countTests(url: string): Promise<number> {
  const client = new pg.Client(url)
  await client.connect()
  try {
    const { rows } = await client.query<{ count: string }>('select count(*) from ll.field_test')
    return Number(rows[0]!.count)
  } finally {
    await client.end()
  }
}

const seconds = (since: number): number => (performance.now() - since) / 1000

async function fill(databaseUrl: string): Promise<Figure[]> {
  const server = await startServer<{ url: string; adminKey: string }>('service-server.ts', databaseUrl)
  try {
    const { basin, appointments, visits } = basinOf(Number(flags.tests), Number(flags.years))
    const before = await countTests(databaseUrl)
    const registering = performance.now()
    const firms = await registerSimulated(server.told.url, server.told.adminKey, basin)
    const registered = seconds(registering)
    console.log(
      `${basin.firms.length} firms, ${basin.plants.length} plants registered in ${registered.toFixed(1)} s; all invented`,
    )
    const submitting = performance.now()
    let soundTests = 0
    const sent = await submitVisits(firms, visits, {
      atOnce: CONNECTIONS,
      onTest: ({ soundness }) => {
        if (soundness === 'sound') soundTests++
      },
    })
    const took = seconds(submitting)
    const stored = (await countTests(databaseUrl)) - before
    console.log(
      `${sent} tests of ${Number(flags.years)} years submitted in ${took.toFixed(1)} s, ${Math.round(sent / took)} a second on ${CONNECTIONS} connections; ${soundTests} sound`,
    )
    if (stored !== sent || sent !== appointments.length)
      throw new Error(`${appointments.length} visits were simulated and ${sent} answered, but ${stored} are stored.`)
    return [
      { id: 'load-basin.tests', value: stored, unit: '1', goal: 20_000, better: 'higher' },
      { id: 'load-basin.seconds', value: registered + took, unit: 's', goal: null, better: 'lower' },
    ]
  } finally {
    await server.stop()
  }
}

console.log(`${new Date().toISOString().slice(0, 10)}, ${machine()}`)
try {
  const results = await fill(flags.url ?? (await freshDatabase()))
  if (flags.json !== undefined)
    writeFileSync(resolve(process.env.INIT_CWD ?? '.', flags.json), `${JSON.stringify({ results }, null, 2)}\n`)
} finally {
  await stopDatabase()
}
