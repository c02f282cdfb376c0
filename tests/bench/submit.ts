/**
 * `submit.vs-naive-insert`: whole submissions a second ÷ bare inserts of the same bodies. A submission is authenticated,
 * checked, evaluated with uncertainty and findings, stored, entered in the ledger and committed before it is answered.
 */
import { bodiesOfPlants } from './example.ts'
import { alternate, type Figure, ratios, spreadOf, tell, whole } from './rounds.ts'
import { CONNECTIONS, freshDatabase, type Load, load, startServer } from './servers.ts'
import { versionOf } from './versions.ts'

const POOLS = ['8', '32'] as const
/** Until the engine has compiled what is hot: of the service that takes half a minute of load, of the bare handler seconds. */
const WARM_S = { submit: 25, insert: 5 }

export async function submitAgainstNaiveInsert(quick: boolean): Promise<Figure[]> {
  const url = await freshDatabase()
  const service = await startServer<{ url: string; key: string }>('service-server.ts', url)
  const naive = await Promise.all(POOLS.map((pool) => startServer<{ url: string }>('naive-server.ts', url, pool)))
  try {
    const bodies = await bodiesOfPlants(service.told)
    const headers = { authorization: `Bearer ${service.told.key}` }
    const submit = (seconds: number) => load({ url: `${service.told.url}/v1/tests`, bodies, seconds, headers })
    const insert = (pool: number) => (seconds: number) =>
      load({ url: `${naive[pool]!.told.url}/naive`, bodies, seconds, headers })
    await submit(quick ? 3 : WARM_S.submit)
    const tried: number[] = []
    for (const pool of POOLS.keys()) tried.push((await insert(pool)(quick ? 0.5 : WARM_S.insert)).perSecond)
    // The better pool is the baseline: by its first seconds where time is short, else by all rounds.
    const pools = quick ? [tried.indexOf(Math.max(...tried))] : [...POOLS.keys()]
    const [submissions, ...inserts] = await alternate(
      [submit, ...pools.map(insert)].map((contestant) => () => contestant(quick ? 0.5 : 5)),
    )
    return report(submissions!, new Map(pools.map((pool, i) => [POOLS[pool]!, inserts[i]!])))
  } finally {
    await Promise.all([service, ...naive].map((server) => server.stop()))
  }
}

const rates = (loads: readonly Load[]): number[] => loads.map(({ perSecond }) => perSecond)
const waits = (loads: readonly Load[]): number[] => loads.map(({ p99Ms }) => p99Ms)

const rateOf = (loads: readonly Load[]): number => spreadOf(rates(loads)).median

/** The baseline is the pool that inserted more. */
function report(submissions: readonly Load[], inserts: ReadonlyMap<string, readonly Load[]>): Figure[] {
  const [pool, baseline] = [...inserts].toSorted(([, a], [, b]) => rateOf(b) - rateOf(a))[0]!
  const figure = { id: 'submit.vs-naive-insert', unit: '×', goal: 1, better: 'higher' } as const
  const tail = { ...figure, id: 'submit.vs-naive-insert.p99', better: 'lower' } as const
  const ratio = ratios(rates(submissions), rates(baseline))
  const p99 = ratios(waits(submissions), waits(baseline))
  tell(figure, ratio, [
    `${whole(rateOf(submissions))} submissions/s ÷ ${whole(rateOf(baseline))} bare inserts/s on ${CONNECTIONS} connections, both on one Postgres that commits to disk`,
    `inserts by fastify ${versionOf('fastify')} and pg ${versionOf('pg')} with a pool of ${pool}, the better of ${POOLS.join(' and ')}; driven by autocannon ${versionOf('autocannon')}`,
  ])
  tell(tail, p99, [
    `99th percentile of the time to an answer, ${whole(spreadOf(waits(submissions)).median)} ms ÷ ${whole(spreadOf(waits(baseline)).median)} ms`,
  ])
  return [
    { ...figure, value: ratio.median },
    { ...tail, value: p99.median },
  ]
}
