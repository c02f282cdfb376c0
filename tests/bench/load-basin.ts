/**
 * `npm run load-basin`: a simulated basin and its visits into a database, every one of them through the public API, by
 * the SDK and the keys of their firms; says how long it took.
 *
 * Flags: `--tests 20000` at least so many, `--years 4`, `--url URL` of a database to fill and keep (else one that is
 * thrown away), `--mistakes 0.03`, `--biased 3`, `--seed 1`, `--json FILE` as of the bench. `--dry-run` gives all tests
 * to a program with two versions of its rules, and tries a third one over them.
 */
import { writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { Liftledger } from '@liftledger/sdk'
import { simulateBasin } from '@liftledger/simulator'
import pg from 'pg'
import { type FilledFirm, registerSimulated, type Submitted, submitVisits } from '../../seed/fill.ts'
import { giveTests, type Rules, rulesIn, seedPrograms, tryRules } from '../../seed/programs.ts'
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
    'dry-run': { type: 'boolean', default: false },
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

/** Gives all tests to the first program of the seed, and tries its second version for all years, a little stricter. */
async function tryOverAll(
  { url, adminKey }: { url: string; adminKey: string },
  firms: ReadonlyMap<string, FilledFirm>,
  answered: readonly { firm: string; test: Submitted }[],
): Promise<void> {
  const [program] = await seedPrograms(url, adminKey)
  const giving = performance.now()
  const left = answered.values()
  const giver = async (): Promise<void> => {
    for (const { firm, test } of left) await giveTests(firms.get(firm)!.client, [program!], [test])
  }
  await Promise.all(Array.from({ length: CONNECTIONS }, giver))
  console.log(`${answered.length} tests given to ${program!.name} in ${seconds(giving).toFixed(1)} s`)
  const stricter: Rules = { ...rulesIn('ambermoor-2'), version: 3, inForceFrom: '2027-01-01', inForceTo: '2028-12-31' }
  const author = new Liftledger({ baseUrl: url, apiKey: program!.authorKey })
  const trying = performance.now()
  const { run } = await tryRules(author, { ...stricter, quality: stricter.quality?.map(withLessUncertainty) })
  console.log(`dry run of a third version, ${seconds(trying).toFixed(1)} s: ${JSON.stringify(run.summary)}`)
  let listed = 0
  for await (const change of author.dryRuns.listChanges(run.id, { limit: 200 })) if (listed++ < 3) console.log(change)
  console.log(`${listed} changes listed`)
}

type Quality = NonNullable<Rules['quality']>[number]
const withLessUncertainty = (rule: Quality): Quality =>
  rule.id === 'uncertainty' ? { ...rule, atMost: { value: 3, unit: '%' } } : rule

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
    const answered: { firm: string; test: Submitted }[] = []
    const sent = await submitVisits(firms, visits, {
      atOnce: CONNECTIONS,
      onTest: (test, { firm }) => {
        if (test.soundness === 'sound') soundTests++
        if (flags['dry-run']) answered.push({ firm: firm.code, test })
      },
    })
    const took = seconds(submitting)
    const stored = (await countTests(databaseUrl)) - before
    console.log(
      `${sent} tests of ${Number(flags.years)} years submitted in ${took.toFixed(1)} s, ${Math.round(sent / took)} a second on ${CONNECTIONS} connections; ${soundTests} sound`,
    )
    if (stored !== sent || sent !== appointments.length)
      throw new Error(`${appointments.length} visits were simulated and ${sent} answered, but ${stored} are stored.`)
    if (flags['dry-run']) await tryOverAll(server.told, firms, answered)
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
