/**
 * `submit.two-processes`: submissions a second to two service processes ÷ to one, on one database and one ledger, with
 * as many connections in all. The ledger has one order, so the second process must cost the first nothing.
 */
import { bodiesOfPlants } from './example.ts'
import { alternate, type Figure, ratios, spreadOf, tell, whole } from './rounds.ts'
import { CONNECTIONS, freshDatabase, type Load, load, startServer } from './servers.ts'

export async function submitToTwoProcesses(quick: boolean): Promise<Figure[]> {
  const url = await freshDatabase()
  const first = await startServer<{ url: string; key: string }>('service-server.ts', url)
  const second = await startServer<{ url: string }>('service-server.ts', url, 'seeded')
  try {
    const bodies = await bodiesOfPlants(first.told)
    const submit = (to: string, connections: number, seconds: number): Promise<Load> =>
      load({
        url: `${to}/v1/tests`,
        bodies,
        seconds,
        connections,
        headers: { authorization: `Bearer ${first.told.key}` },
      })
    const toOne = (seconds: number) => () => submit(first.told.url, CONNECTIONS, seconds)
    const toBoth = (seconds: number) => async (): Promise<Load> => {
      const urls = [first.told.url, second.told.url]
      const loads = await Promise.all(urls.map((to) => submit(to, CONNECTIONS / urls.length, seconds)))
      return {
        perSecond: loads.reduce((sum, { perSecond }) => sum + perSecond, 0),
        p99Ms: Math.max(...loads.map(({ p99Ms }) => p99Ms)),
        bytes: loads[0]!.bytes,
      }
    }
    // Each is as warm as the other: both have been sent as much.
    for (const { told } of [first, second]) await submit(told.url, CONNECTIONS, quick ? 2 : 5)
    const seconds = quick ? 1 : 5
    const [one, both] = await alternate([toOne(seconds), toBoth(seconds)])
    return report(one!, both!)
  } finally {
    await Promise.all([first, second].map((server) => server.stop()))
  }
}

const rates = (loads: readonly Load[]): number[] => loads.map(({ perSecond }) => perSecond)

function report(one: readonly Load[], both: readonly Load[]): Figure[] {
  const figure = { id: 'submit.two-processes', unit: '×', goal: 0.9, better: 'higher' } as const
  const ratio = ratios(rates(both), rates(one))
  tell(figure, ratio, [
    `${whole(spreadOf(rates(both)).median)} submissions/s to two processes ÷ ${whole(spreadOf(rates(one)).median)} to one, ${CONNECTIONS} connections in all, one Postgres that commits to disk`,
    'client, services and Postgres share the cores of this machine',
  ])
  return [{ ...figure, value: ratio.median }]
}
