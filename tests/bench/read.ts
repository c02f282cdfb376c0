/**
 * `read.vs-echo` and `trace.vs-echo`: a bare echo ÷ reading one test with its results, and the trace of one quantity.
 *
 * A read is authenticated, counted against its limit, measured and logged, and the database says each time, under
 * row-level security, whether the reader may see the test. Answers about tests read lately are in memory, as are those
 * that people look at; `read.vs-echo.from-database` reads so many in turn that none is any more.
 */
import { Liftledger } from '@liftledger/sdk'
import { sheetText } from './example.ts'
import { alternate, type Figure, ratios, spreadOf, tell, whole } from './rounds.ts'
import { CONNECTIONS, freshDatabase, type Load, read, startServer } from './servers.ts'
import { versionOf } from './versions.ts'

const FEW = 50
/** With sheet, context and answer of each these are more than the service keeps. */
const MANY = 2_000

type ServiceTold = { readonly url: string; readonly key: string }

export async function readAgainstEcho(quick: boolean): Promise<Figure[]> {
  const url = await freshDatabase()
  const service = await startServer<ServiceTold>('service-server.ts', url)
  const echo = await startServer<{ url: string }>('echo-server.ts')
  try {
    const headers = { authorization: `Bearer ${service.told.key}` }
    const ids = await submitted(service.told, quick ? FEW : MANY)
    const few = ids.slice(-FEW)
    const asking = (base: string, paths: readonly string[]) => () =>
      read({ url: base, paths, headers, seconds: quick ? 0.5 : 4 })
    const contestants = [
      asking(
        echo.told.url,
        ids.slice(0, FEW).map((id) => `/echo/${id}`),
      ),
      asking(
        service.told.url,
        few.map((id) => `/v1/tests/${id}`),
      ),
      asking(
        service.told.url,
        few.map((id) => `/v1/tests/${id}/trace/overall-plant-efficiency`),
      ),
      ...(quick
        ? []
        : [
            asking(
              service.told.url,
              ids.map((id) => `/v1/tests/${id}`),
            ),
          ]),
    ]
    for (const contestant of contestants) await contestant()
    const [echoes, reads, traces, fromDatabase] = await alternate(contestants)
    return [
      report('read.vs-echo', 2.5, 'a test with its results', reads!, echoes!),
      report('trace.vs-echo', 4, 'a trace of overall plant efficiency', traces!, echoes!),
      ...(fromDatabase === undefined
        ? []
        : [report('read.vs-echo.from-database', null, `tests, ${whole(MANY)} in turn`, fromDatabase, echoes!)]),
    ]
  } finally {
    await Promise.all([service.stop(), echo.stop()])
  }
}

const AT_ONCE = 8

/** Ids of tests submitted for this, by the client, which comes again where it is told to wait. */
async function submitted({ url, key }: ServiceTold, count: number): Promise<string[]> {
  const client = new Liftledger({ baseUrl: url, apiKey: key })
  const ids: string[] = []
  const submit = async (): Promise<void> => {
    while (ids.length < count) ids.push((await client.tests.submit(sheetText)).id)
  }
  await Promise.all(Array.from({ length: AT_ONCE }, submit))
  return ids
}

function report(
  id: string,
  goal: number | null,
  what: string,
  reads: readonly Load[],
  echoes: readonly Load[],
): Figure {
  const figure = { id, unit: '×', goal, better: 'lower' } as const
  const rates = (loads: readonly Load[]): number[] => loads.map(({ perSecond }) => perSecond)
  const wait = (loads: readonly Load[]): string => whole(spreadOf(loads.map(({ p99Ms }) => p99Ms)).median)
  const ratio = ratios(rates(echoes), rates(reads))
  tell(figure, ratio, [
    `${whole(spreadOf(rates(echoes)).median)} echoes/s ÷ ${whole(spreadOf(rates(reads)).median)}/s of ${what} (${whole(reads[0]!.bytes)} bytes), on ${CONNECTIONS} connections; p99 ${wait(echoes)} and ${wait(reads)} ms`,
    `bare echo of fastify ${versionOf('fastify')}; driven by autocannon ${versionOf('autocannon')}`,
  ])
  return { ...figure, value: ratio.median }
}
