/**
 * Publishes the month that ended, beside the requests of a process: tests come into public statistics at the month's end.
 * Every process tries; the lock lets one at a time. Months are those of UTC; one in which no process ran is left out.
 */
import { once } from 'node:events'
import { setTimeout as sleep } from 'node:timers/promises'
import { Worker } from 'node:worker_threads'
import type pg from 'pg'
import type { Deps } from '../../deps.ts'
import type { MonthToPublish, PublishedMonth } from './publish.ts'
import type { PublishTask } from './publish-worker.ts'

const LOOK_MS = 600_000
/** Not before the process has settled. */
const FIRST_LOOK_MS = 30_000

export interface PublishingStatistics {
  /** Ends after the publication at hand. */
  stop(): Promise<void>
}

/** The month that ended last before a moment, and when it did. */
export function endedMonth(at: Date): { readonly month: string; readonly end: Date } {
  const end = new Date(Date.UTC(at.getUTCFullYear(), at.getUTCMonth(), 1))
  return { month: new Date(end.getTime() - 1).toISOString().slice(0, 7), end }
}

/** Whether a month waits to be published, and has tests; asked here, so that no thread is started for nothing. */
export async function isDue(pool: pg.Pool, { month, end }: MonthToPublish): Promise<boolean> {
  const { rows } = await pool.query<{ last: string | null; has_tests: boolean }>(
    `select (select max(month) from ll.statistics_publication) as last,
            coalesce((select test.received_at < $1 from ll.field_test test join ll.test_fact fact on fact.test_id = test.id
                      where fact.happened = 'test' order by fact.place limit 1), false) as has_tests`,
    [end],
  )
  const { last, has_tests: hasTests } = rows[0]!
  return hasTests && (last === null || last < month)
}

/** One publication in a thread of its own; undefined where there was nothing to publish, or another process was at it. */
export async function publishBeside(task: PublishTask, signal: AbortSignal): Promise<PublishedMonth | undefined> {
  const worker = new Worker(new URL('./publish-worker.ts', import.meta.url), { workerData: task })
  signal.addEventListener('abort', () => void worker.terminate(), { once: true })
  const [made] = (await Promise.race([
    once(worker, 'message', { signal }),
    once(worker, 'exit').then(() => [undefined]),
  ])) as [PublishedMonth | undefined]
  return made
}

/** `url` is that of the database, by which the thread opens connections of its own. */
export function publishStatistics(
  { config, databases, now, log }: Pick<Deps, 'config' | 'databases' | 'now' | 'log'>,
  url: string,
): PublishingStatistics {
  const end = new AbortController()
  const rest = (ms: number): Promise<void> =>
    sleep(ms, undefined, { signal: end.signal, ref: false }).catch(() => undefined)
  const run = async (): Promise<void> => {
    await rest(FIRST_LOOK_MS)
    while (!end.signal.aborted) {
      const at = now()
      const asked = { ...endedMonth(at), at }
      try {
        if (await isDue(databases.statistics, asked)) {
          const made = await publishBeside({ url, production: config.production, asked }, end.signal)
          if (made !== undefined) log.info({ ...made }, 'statistics of a month are public')
        }
      } catch (error) {
        if (!end.signal.aborted) log.warn({ err: error }, 'statistics of the month are not public for the moment')
      }
      await rest(LOOK_MS)
    }
  }
  const running = run()
  return {
    async stop() {
      end.abort()
      await running
    },
  }
}
