/**
 * `statistics.vs-group-by`: grouped figures with percentiles, by SQL over a plain table ÷ by the service's own way. The
 * plain table holds only the tests that count and only the columns that are asked for, which spares SQL most of its work.
 */
import pg from 'pg'
import { pino } from 'pino'
import { type Databases, openDatabases } from '../../packages/service/src/db/database.ts'
import { migrate } from '../../packages/service/src/db/migrate.ts'
import type { Principal } from '../../packages/service/src/http/principal.ts'
import { rebuild } from '../../packages/service/src/statistics/fold.ts'
import type { Statistics } from '../../packages/service/src/statistics/schemas.ts'
import { statisticsOf } from '../../packages/service/src/statistics/statistics.ts'
import { alternate, type Figure, ratios, type Spread, spreadOf, tell, whole } from './rounds.ts'
import { freshDatabase } from './servers.ts'
import { loadTests, REGIONS } from './statistics-set.ts'

const AUDITOR: Principal = { role: 'auditor', keyId: 'auditorbench', scopes: ['tests:read'] }
const log = pino({ level: 'silent' })

interface Query {
  readonly name: string
  /** `kept`: for these groups cells are kept; `free`: none was made for the filter; `tests`: from the tests themselves. */
  readonly by: 'kept' | 'free' | 'tests'
  readonly ask: Parameters<typeof statisticsOf>[2]
  readonly groupBy: string
  readonly where: string
}

const FIRM_3 = 'f0000000-0000-7000-8000-000000000003'
const query = (
  name: string,
  by: Query['by'],
  ask: Omit<Query['ask'], 'measure'>,
  groupBy: string,
  where = 'true',
): Query => ({ name, by, ask: { ...ask, measure: 'overall-plant-efficiency' }, groupBy, where })

const QUERIES: readonly Query[] = [
  query('by region', 'kept', { groupBy: 'region' }, 'driver, region'),
  query('by power class', 'kept', { groupBy: 'powerClass' }, 'driver, power_class'),
  query('by year', 'kept', { groupBy: 'year' }, 'driver, year'),
  query('by kind and year', 'kept', { groupBy: 'kind,year' }, 'driver, kind, year'),
  query(
    'wells of two regions by pitot traverse, by year',
    'free',
    { groupBy: 'year', kind: 'well', region: 'R-3,R-4', flowMethod: 'pitot-traverse' },
    'driver, year',
    `kind = 'well' and region in ('R-3', 'R-4') and flow_method = 'pitot-traverse'`,
  ),
  query(
    'large boosters in 2020, by region',
    'free',
    { groupBy: 'region', kind: 'booster', powerClass: '250-hp-and-more', yearFrom: 2020, yearTo: 2020 },
    'driver, region',
    `kind = 'booster' and power_class = '250-hp-and-more' and year = 2020`,
  ),
  query(
    'one firm in one region, by year',
    'tests',
    { groupBy: 'year', firmId: 'frm_7G00000000E008000000000003', region: 'R-3' },
    'driver, year',
    `firm_id = '${FIRM_3}' and region = 'R-3'`,
  ),
  query(
    'blinks of the meter with a pitot traverse in 2020, by region',
    'tests',
    { groupBy: 'region', powerMethod: 'meter-pulses', flowMethod: 'pitot-traverse', yearFrom: 2020, yearTo: 2020 },
    'driver, region',
    `power_method = 'meter-pulses' and flow_method = 'pitot-traverse' and year = 2020`,
  ),
]

const sqlOf = ({ groupBy, where }: Query): string =>
  `select ${groupBy}, count(*) as n, avg(efficiency) as mean, sum(efficiency * energy) / sum(energy) filter (where energy is not null) as weighted,
          percentile_cont(array[0.1, 0.25, 0.5, 0.75, 0.9]) within group (order by efficiency) as percentiles
   from public.counted_test where ${where} group by ${groupBy} order by ${groupBy}`

interface Filled {
  readonly tests: number
  readonly databases: Databases
  readonly sql: pg.Client
  close(): Promise<void>
}

async function filled(tests: number): Promise<Filled> {
  const url = await freshDatabase()
  await migrate(url, log)
  await loadTests(url, tests)
  const databases = await openDatabases(url, { production: false, log })
  const started = performance.now()
  await rebuild(databases.statistics)
  console.log(`    ${whole(tests)} tests folded into cells in ${((performance.now() - started) / 1000).toFixed(1)} s`)
  const sql = new pg.Client(url)
  await sql.connect()
  // As after some hours: what was rewritten while folding is vacuumed.
  await sql.query('vacuum analyze ll.statistics_cell')
  return {
    tests,
    databases,
    sql,
    async close() {
      await sql.end()
      await databases.close()
    },
  }
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const started = performance.now()
  await work()
  return performance.now() - started
}

/** As often as makes a time worth telling. */
async function often(work: () => Promise<unknown>): Promise<number> {
  const once = await timed(work)
  const times = Math.max(1, Math.min(20, Math.round(100 / once)))
  return (
    (await timed(async () => {
      for (let n = 0; n < times; n++) await work()
    })) / times
  )
}

interface Measured {
  readonly query: Query
  readonly sqlMs: number[]
  readonly ownMs: number[]
  readonly ratio: Spread
}

async function measure({ databases, sql }: Filled, query: Query): Promise<Measured> {
  const [sqlMs, ownMs] = await alternate([
    () => timed(() => sql.query(sqlOf(query))),
    () => often(() => statisticsOf(databases, AUDITOR, query.ask)),
  ])
  return { query, sqlMs: sqlMs!, ownMs: ownMs!, ratio: ratios(sqlMs!, ownMs!) }
}

interface PlainRow {
  readonly n: string
  readonly mean: number
  readonly weighted: number
  readonly percentiles: readonly number[]
}

/** Throws where an answer isn't that of SQL: counts and means equal, percentiles within their bound. */
function compare(name: string, own: Statistics, rows: readonly PlainRow[]): number {
  const items = own.items.filter(({ tests }) => tests > 0)
  if (items.length !== rows.length) throw new Error(`${name}: ${items.length} groups, ${rows.length} by SQL`)
  let worst = 0
  items
    .toSorted((a, b) => b.tests - a.tests)
    .forEach((item, place) => {
      const row = rows.toSorted((a, b) => Number(b.n) - Number(a.n))[place]!
      const close = (a: number, b: number, bound: number, what: string): void => {
        if (!(Math.abs(a / b - 1) <= bound)) throw new Error(`${name}: ${what} is ${a}, by SQL ${b}`)
      }
      if (item.tests !== Number(row.n)) throw new Error(`${name}: ${item.tests} tests, by SQL ${row.n}`)
      close(item.mean!.value, row.mean, 1e-5, 'mean')
      if (item.weightedMean !== undefined) close(item.weightedMean.value, row.weighted, 1e-5, 'weighted mean')
      row.percentiles.forEach((value, n) => {
        close(item.percentiles[n]!.value, value, own.percentileBound, `percentile ${item.percentiles[n]!.percent}`)
        worst = Math.max(worst, Math.abs(item.percentiles[n]!.value / value - 1))
      })
    })
  return worst
}

/** Each region has a spread of its own: twenty of electric motors are held against SQL. */
async function sameOnTwentySpreads({ databases, sql }: Filled): Promise<number> {
  let worst = 0
  for (let region = 0; region < REGIONS; region++) {
    const own = await statisticsOf(databases, AUDITOR, {
      groupBy: 'region',
      driver: 'electric-motor',
      region: `R-${region}`,
      measure: 'overall-plant-efficiency',
    })
    const { rows } = await sql.query<PlainRow>(
      sqlOf(
        query(
          '',
          'kept',
          { groupBy: 'region' },
          'driver, region',
          `driver = 'electric-motor' and region = 'R-${region}'`,
        ),
      ),
    )
    worst = Math.max(worst, compare(`region ${region}`, own, rows))
  }
  return worst
}

const ms = (values: readonly number[]): string => `${spreadOf(values).median.toPrecision(3)} ms`

function figure(id: string, goal: number | null, of: readonly Measured[], compared: readonly string[]): Figure {
  const all = spreadOf(of.map(({ ratio }) => ratio.median))
  const declared = { id, unit: '×', goal, better: 'higher' } as const
  tell(declared, all, [
    ...compared,
    ...of.map(
      ({ query: { name }, sqlMs, ownMs, ratio }) =>
        `${name}: ${ms(sqlMs)} by SQL, ${ms(ownMs)} here, ${ratio.median.toPrecision(3)} × [${ratio.least.toPrecision(3)} – ${ratio.most.toPrecision(3)}]`,
    ),
  ])
  return { ...declared, value: all.median }
}

export async function statisticsAgainstGroupBy(quick: boolean): Promise<Figure[]> {
  const sizes = quick ? [10_000, 100_000] : [100_000, 1_000_000]
  const [small, large] = [await filled(sizes[0]!), await filled(sizes[1]!)]
  try {
    const worst = await sameOnTwentySpreads(large)
    for (const one of QUERIES) {
      const { rows } = await large.sql.query<PlainRow>(sqlOf(one))
      compare(one.name, await statisticsOf(large.databases, AUDITOR, one.ask), rows)
    }
    const measured: Measured[] = []
    for (const one of QUERIES) measured.push(await measure(large, one))
    const of = (by: Query['by']): Measured[] => measured.filter((one) => one.query.by === by)
    const what = `count, mean, weighted mean, five percentiles with intervals over ${whole(large.tests)} tests; SQL over a plain table of those that count, at default settings`
    const kept = figure('statistics.vs-group-by', 200, of('kept'), [
      what,
      `20 spreads and ${QUERIES.length} queries: counts equal, means within 1e-5, percentiles within ${(100 * worst).toFixed(2)} % (stated: 0.50 %)`,
    ])
    const free = figure('statistics.free-filter.vs-group-by', 20, of('free'), [
      'filters that no cells were made for, from the finest cells',
    ])
    const tests = figure('statistics.from-tests.vs-group-by', null, of('tests'), [
      'what no cell knows: from the narrow rows of the tests',
    ])
    return [kept, free, tests, await growth(small, large)]
  } finally {
    await small.close()
    await large.close()
  }
}

async function growth(small: Filled, large: Filled): Promise<Figure> {
  const cells = QUERIES.filter(({ by }) => by !== 'tests')
  const grown: number[] = []
  for (const { ask } of cells) {
    const [less, more] = await alternate([
      () => often(() => statisticsOf(small.databases, AUDITOR, ask)),
      () => often(() => statisticsOf(large.databases, AUDITOR, ask)),
    ])
    grown.push(ratios(more!, less!).median)
  }
  const declared = { id: 'statistics.growth', unit: '×', goal: 1.2, better: 'lower' } as const
  tell(declared, spreadOf(grown), [
    `time at ${whole(large.tests)} tests ÷ at ${whole(small.tests)}, ${cells.length} queries that cells answer`,
  ])
  return { ...declared, value: spreadOf(grown).median }
}
