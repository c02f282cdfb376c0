/** `submit.vs-naive-insert`: whole submissions a second ÷ bare inserts of the same body. */
import { randomUUID } from 'node:crypto'
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { startEmbedded } from '@liftledger/service/embedded'
import { sheetText } from './example.ts'
import { type Figure, ratios, spreadOf, tell } from './rounds.ts'
import { CONNECTIONS, type Load, load, startServer } from './servers.ts'

const ROUNDS = 5
const POOLS = ['8', '32'] as const

export async function submitAgainstNaiveInsert(quick: boolean): Promise<Figure[]> {
  const database = await startEmbedded({
    directory: mkdtempSync(join(tmpdir(), 'liftledger-bench-')),
    persistent: false,
  })
  const service = await startServer<{ url: string; key: string }>('service-server.ts', database.url)
  const naive = await Promise.all(
    POOLS.map((pool) => startServer<{ url: string }>('naive-server.ts', database.url, pool)),
  )
  try {
    const seconds = quick ? 1 : 5
    const submit = () =>
      load({
        url: `${service.told.url}/v1/tests`,
        body: sheetText,
        seconds,
        headers: { authorization: `Bearer ${service.told.key}` },
        unique: () => ({ 'idempotency-key': `"${randomUUID()}"` }),
      })
    const insert = (pool: number) => load({ url: `${naive[pool]!.told.url}/naive`, body: sheetText, seconds })
    await submit()
    for (let pool = 0; pool < POOLS.length; pool++) await insert(pool)
    const submissions: Load[] = []
    const inserts: Load[] = []
    for (let round = 0; round < ROUNDS; round++) {
      submissions.push(await submit())
      // The better of the two pools is the baseline.
      const both = [await insert(0), await insert(1)]
      inserts.push(both[0]!.perSecond >= both[1]!.perSecond ? both[0]! : both[1]!)
    }
    return report(submissions, inserts)
  } finally {
    service.stop()
    for (const one of naive) one.stop()
    await new Promise((resolve) => setTimeout(resolve, 500))
    await database.stop()
  }
}

function report(submissions: readonly Load[], inserts: readonly Load[]): Figure[] {
  const rate = ({ perSecond }: Load) => perSecond
  const late = ({ p99Ms }: Load) => p99Ms
  const figure = { id: 'submit.vs-naive-insert', unit: '×', goal: 1, better: 'higher' } as const
  const tail = { id: 'submit.vs-naive-insert.p99', unit: '×', goal: 1, better: 'lower' } as const
  const ratio = ratios(submissions.map(rate), inserts.map(rate))
  const p99 = ratios(submissions.map(late), inserts.map(late))
  const said = `${CONNECTIONS} connections; ${Math.round(spreadOf(submissions.map(rate)).median)} submissions/s ÷ ${Math.round(spreadOf(inserts.map(rate)).median)} bare inserts/s (fastify, pg; better pool of ${POOLS.join(' and ')})`
  tell(figure, ratio, said)
  tell(
    tail,
    p99,
    `99th percentile of the answer time, ${spreadOf(submissions.map(late)).median} ms ÷ ${spreadOf(inserts.map(late)).median} ms`,
  )
  return [
    { ...figure, value: ratio.median },
    { ...tail, value: p99.median },
  ]
}
