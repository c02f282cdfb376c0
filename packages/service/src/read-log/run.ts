/** Closes hours of the read log beside the requests of a process. Every process tries; the lock lets one at a time. */
import { setTimeout as sleep } from 'node:timers/promises'
import type { Deps } from '../deps.ts'
import { closeHour, ReadsMissing } from './close-hour.ts'
import { hourOf } from './rows.ts'

const LOOK_MS = 20_000
/** Reads of an hour’s last moments are still on their way; any that come later belong to the hour after. */
const SLACK_MS = 5_000

export interface ClosingHours {
  /** Ends after the hour at hand. */
  stop(): Promise<void>
}

export function closeHours({ databases, now, log }: Pick<Deps, 'databases' | 'now' | 'log'>): ClosingHours {
  const end = new AbortController()
  let closedUpTo = 0
  const closeAll = async (): Promise<void> => {
    const until = new Date(now().getTime() - SLACK_MS)
    const hour = hourOf(until).getTime()
    if (hour <= closedUpTo) return
    for (;;) {
      const entry = await closeHour(databases.integrator, until)
      if (entry === undefined) break
      if (entry === 'busy') return
      log.info({ hour: entry.hour, reads: entry.count }, 'reads of an hour are in the ledger')
    }
    closedUpTo = hour
  }
  const run = async (): Promise<void> => {
    while (!end.signal.aborted) {
      await closeAll().catch((error: unknown) => {
        if (error instanceof ReadsMissing)
          log.fatal({ reason: error.message }, 'read log is NOT closed: it was changed')
        else log.warn({ err: error }, 'an hour of the read log is not closed for the moment')
      })
      await sleep(LOOK_MS, undefined, { signal: end.signal, ref: false }).catch(() => undefined)
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
