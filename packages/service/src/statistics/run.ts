/**
 * Folds beside the requests of a process. Every process tries; the lock lets one at a time.
 *
 * Answers are exact whether rows are folded or not: so it waits for five thousand rows, which cost less each, or for a
 * moment in which nothing comes.
 */
import { performance } from 'node:perf_hooks'
import { setTimeout as sleep } from 'node:timers/promises'
import type { Deps } from '../deps.ts'
import { LAYOUT } from './cell.ts'
import { foldStep } from './fold.ts'

const LOOK_MS = 1_000
const FULL = 5_000
/** Share of a core that is taken while the process has other work: most of what there is to do waits for a quiet moment. */
const SHARE_BUSY = 0.1
/** Busy is a process whose event loop was in use for more of the last second than this. */
const BUSY_FROM = 0.3
/** Rows wait no longer than this for a quiet moment. */
const WAIT_LOOKS_MAX = 30
const FAILED_MS = 10_000

export interface FoldCounts {
  /** Rows that are not in the cells, when last looked. */
  waiting: number
  folded: number
  failures: number
  /** Bytes of the table of cells with what vacuum hasn't taken back, and bytes that the cells need. */
  tableBytes: number
  cellBytes: number
}

export interface FoldingStatistics {
  readonly counts: Readonly<FoldCounts>
  /** Ends after the step at hand. */
  stop(): Promise<void>
}

export function foldStatistics({ databases, log }: Pick<Deps, 'databases' | 'log'>): FoldingStatistics {
  const end = new AbortController()
  const counts: FoldCounts = { waiting: 0, folded: 0, failures: 0, tableBytes: 0, cellBytes: 0 }
  let before = -1
  let looks = 0
  let busy = 0
  let utilization = performance.eventLoopUtilization()
  const rest = (ms: number): Promise<void> =>
    sleep(ms, undefined, { signal: end.signal, ref: false }).catch(() => undefined)

  /** How many rows wait, and whether it is time. */
  const isTime = async (): Promise<boolean> => {
    const { rows } = await databases.statistics.query<{ waiting: number; last: number; layout: number }>(
      `select coalesce(max(fact.place) - fold.place, 0) as waiting, coalesce(max(fact.place), 0) as last, fold.layout
       from ll.statistics_fold fold left join ll.test_fact fact on fact.place > fold.place group by fold.place, fold.layout`,
    )
    const { waiting, last, layout } = rows[0] ?? { waiting: 0, last: 0, layout: LAYOUT }
    if (layout !== LAYOUT) return true
    counts.waiting = Number(waiting)
    busy = performance.eventLoopUtilization(utilization).utilization
    utilization = performance.eventLoopUtilization()
    const isQuiet = Number(last) === before
    before = Number(last)
    looks = counts.waiting === 0 ? 0 : looks + 1
    return counts.waiting > 0 && (isQuiet || counts.waiting >= FULL || looks > WAIT_LOOKS_MAX)
  }
  const foldWhatWaits = async (): Promise<void> => {
    if (!(await isTime())) return
    looks = 0
    for (;;) {
      const started = performance.now()
      const step = await foldStep(databases.statistics)
      if (step === undefined || step.rows === 0) break
      counts.folded += step.rows
      if (end.signal.aborted || step.rows < FULL) break
      if (busy > BUSY_FROM) await rest((performance.now() - started) * (1 / SHARE_BUSY - 1))
      if (end.signal.aborted) break
    }
    const { rows } = await databases.statistics.query<{ table: number; cells: number }>(
      `select pg_total_relation_size('ll.statistics_cell') as table,
              coalesce((select sum(pg_column_size(cell.*)) from ll.statistics_cell cell), 0)::bigint as cells`,
    )
    counts.tableBytes = Number(rows[0]?.table ?? 0)
    counts.cellBytes = Number(rows[0]?.cells ?? 0)
  }
  const run = async (): Promise<void> => {
    while (!end.signal.aborted) {
      const wait = await foldWhatWaits().then(
        () => LOOK_MS,
        (error: unknown) => {
          counts.failures += 1
          log.warn({ err: error }, 'statistics are not folded for the moment; answers take longer')
          return FAILED_MS
        },
      )
      await rest(wait)
    }
  }
  const running = run()
  return {
    counts,
    async stop() {
      end.abort()
      await running
    },
  }
}
