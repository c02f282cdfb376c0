/**
 * `npm run attack`: the whole attack on public statistics of the demo's basin, published month after month through its last season.
 * Every lattice answer of all months held against each other; every firm, every customer, each firm with a customer, each firm with
 * three plants; single customers behind what is told, for each firm; and once with a rule undone, where the attack must find
 * something. Exit 0: no withheld cell is bounded nearer than p percent, nor any customer, and at least nine of ten cells that
 * hold enough are told.
 */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { createKey } from '../../packages/service/src/access/create-key.ts'
import { startService } from '../../packages/service/src/serve.ts'
import { DEMO } from '../../seed/simulated.ts'
import { attackAll, type Found, type Told, type Wanted, whatIsTold } from './measure.ts'
import { publishedBasin, type World } from './world.ts'

/** Shares of the demo's visits that have come by the end of each month: two years, then its last season from the first weeks on. */
const RECEIVED = '0.65,0.7,0.76,0.81,0.87,1'
const HELP = `Usage: npm run attack -- [--quick] [--received SHARES] [--json FILE]

  --quick     firms and customers, but not both together
  --received  share of the visits that have come by the end of each month; ${RECEIVED} if absent
  --json      writes {results:[{id,value,unit,goal,better}]}`

/** However slow the machine is, nothing is refused. */
const UNHURRIED = { PUBLIC_PER_MINUTE: '0', EVENT_LOOP_DELAY_MS_MAX: '0', QUEUE_AGE_MS_MAX: '0' }
const P_PERCENT = 15
const TOLD_PERCENT = 90
/** What a program may be off by. */
const TOLERANCE = 0.001

const { values } = parseArgs({
  options: {
    quick: { type: 'boolean', default: false },
    received: { type: 'string', default: RECEIVED },
    json: { type: 'string' },
    help: { type: 'boolean', default: false },
  },
})
if (values.help) {
  console.log(HELP)
  process.exit(0)
}

const percent = (ratio: number): string =>
  ratio === Number.POSITIVE_INFINITY ? 'nowhere' : `${(Math.max(0, ratio) * 100).toFixed(1)} %`
const nearest = ({ bounds }: Found): number => bounds[0]?.distance ?? Number.POSITIVE_INFINITY

const since = performance.now()
const elapsed = (): string => `${((performance.now() - since) / 1000).toFixed(0)} s`.padStart(6)

function tell(found: Found): void {
  const [first] = found.bounds
  const where =
    first === undefined
      ? 'nothing to be had'
      : `nearest ${percent(first.distance)}: ${first.amount} of ${first.target}, for ${first.attacker}`
  const near = new Set(found.bounds.filter(({ distance }) => distance * 100 < P_PERCENT).map(({ target }) => target))
  const count = String(found.bounds.length).padStart(7)
  console.log(`${elapsed()}  ${found.family.padEnd(26)} ${count} bounds, ${near.size} targets too near; ${where}`)
}

/** Published by a service of its own, which has stopped before the programs take the processor. */
async function publishedDemo(received: readonly number[]): Promise<World> {
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-attack-'))
  const environment = { DATABASE_URL: '', PORT: '0', LOG_LEVEL: 'error', RATE_PER_MINUTE: '0', ...UNHURRIED }
  const service = await startService({ directory, environment })
  try {
    const adminKey = (await createKey(service.deps, { role: 'admin', name: 'administrator of the attack' })).key
    return await publishedBasin({ deps: service.deps, url: service.url, adminKey }, DEMO, received)
  } finally {
    await service.stop()
    await rm(directory, { recursive: true, force: true })
  }
}

const world = await publishedDemo(values.received.split(',').map(Number))
console.log(`Published in ${world.seconds.map((one) => `${one.toFixed(1)} s`).join(', ')}.\n`)
const told = whatIsTold(world)
for (const { family, month, cells, byMark, enough, toldOfEnough, enoughOfAll, tests, counting } of told) {
  const marks = Object.entries(byMark).map(([mark, n]) => `${n} ${mark}`)
  console.log(
    `  ${`${family}, ${month}`.padEnd(36)} ${tests} of ${counting} tests; ${cells} cells: ${marks.join(', ')}; told ${toldOfEnough} of ${enough} that hold enough, of ${enoughOfAll} with those that wait`,
  )
}
const run = (what: string, wanted: Wanted): number => {
  console.log(`\n${what}:`)
  let tightest = Number.POSITIVE_INFINITY
  for (const found of attackAll(world, wanted)) {
    tell(found)
    tightest = Math.min(tightest, nearest(found))
  }
  return tightest
}
const firmsOnly = { customers: false, firmsWithCustomers: false, threePlants: false }
const cells = run('Withheld cells', {
  of: 'cells',
  customers: true,
  firmsWithCustomers: !values.quick,
  threePlants: true,
})
const customers = run('Single customers behind told cells', { ...firmsOnly, of: 'customers', neighbours: true })
const undone = run('Withheld cells, if no test waited', { ...firmsOnly, of: 'cells', undone: 'waiting' })
const sum = (of: (one: Told) => number): number => told.reduce((total, one) => total + of(one), 0)
const share = Math.min(...told.map(({ enough, toldOfEnough }) => toldOfEnough / enough))
const ofAll = sum(({ toldOfEnough }) => toldOfEnough) / sum(({ enoughOfAll }) => enoughOfAll)
const results = [
  { id: 'attack.nearest-bound', value: cells * 100, unit: '%', goal: P_PERCENT, better: 'higher' },
  { id: 'attack.customers.nearest-bound', value: customers * 100, unit: '%', goal: P_PERCENT, better: 'higher' },
  { id: 'attack.told-of-enough', value: share * 100, unit: '%', goal: TOLD_PERCENT, better: 'higher' },
  { id: 'attack.told-of-enough-with-waiting', value: ofAll * 100, unit: '%', goal: TOLD_PERCENT, better: 'higher' },
  { id: 'attack.undone.nearest-bound', value: undone * 100, unit: '%', goal: null, better: 'higher' },
]
if (values.json !== undefined) await writeFile(values.json, `${JSON.stringify({ results }, null, 2)}\n`)
const isFar = Math.min(cells, customers) * 100 >= P_PERCENT - TOLERANCE
const isTold = Math.min(share, ofAll) * 100 >= TOLD_PERCENT
console.log(
  `\nNearest bound of a withheld cell ${percent(cells)}, of a customer ${percent(customers)}, undone ${percent(undone)}; ` +
    `told ${percent(share)} in the least of families and months, ${percent(ofAll)} of all with those that wait. ${elapsed().trim()}.`,
)
process.exitCode = isFar && isTold && undone * 100 < P_PERCENT ? 0 : 1
