/**
 * Publishes the month that ended, beside the requests of a process: tests come into public statistics at the month's end.
 * Every process tries; the lock lets one at a time. Months are those of UTC; one in which no process ran is left out.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import type { Deps } from '../../deps.ts'
import { publishMonth } from './publish.ts'

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

export function publishStatistics({
  databases,
  now,
  log,
}: Pick<Deps, 'databases' | 'now' | 'log'>): PublishingStatistics {
  const end = new AbortController()
  const rest = (ms: number): Promise<void> =>
    sleep(ms, undefined, { signal: end.signal, ref: false }).catch(() => undefined)
  const run = async (): Promise<void> => {
    await rest(FIRST_LOOK_MS)
    while (!end.signal.aborted) {
      const at = now()
      await publishMonth(databases.statistics, { ...endedMonth(at), at }).then(
        (made) => {
          if (made !== undefined) log.info({ ...made }, 'statistics of a month are public')
        },
        (error: unknown) => log.warn({ err: error }, 'statistics of the month are not public for the moment'),
      )
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
