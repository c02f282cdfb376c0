/** Runs the keeping of documents beside the requests of a process, at a pace that they don't feel. */
import { performance } from 'node:perf_hooks'
import { setTimeout as sleep } from 'node:timers/promises'
import type { Deps } from '../deps.ts'
import { DocumentKeeper } from './keep.ts'

/** Share of a core while the process has other work, and while it has none. */
const SHARE_BUSY = 0.05
const SHARE_IDLE = 0.5
/** Busy is a process whose event loop was in use for more of the last pause than this. */
const BUSY_FROM = 0.1
const CAUGHT_UP_MS = 2_000
const FAILED_MS = 10_000

/** How long to rest after `busyMs` of work, so that work is the share of the time that others leave. */
export function restMs(busyMs: number, utilization: number): number {
  const share = utilization > BUSY_FROM ? SHARE_BUSY : SHARE_IDLE
  return busyMs * (1 / share - 1)
}

export interface KeepingDocuments {
  readonly keeper: DocumentKeeper
  /** Ends after the document at hand. */
  stop(): Promise<void>
}

export function keepDocuments(deps: Pick<Deps, 'databases' | 'log' | 'now'>): KeepingDocuments {
  const keeper = new DocumentKeeper(deps)
  const end = new AbortController()
  const rest = (ms: number): Promise<void> =>
    sleep(ms, undefined, { signal: end.signal, ref: false }).catch(() => undefined)
  // What others did in the last rest, in which nothing was done here.
  let utilization = 0
  const pace = async (busyMs: number): Promise<void> => {
    const before = performance.eventLoopUtilization()
    await rest(restMs(busyMs, utilization))
    utilization = performance.eventLoopUtilization(before).utilization
  }
  const run = async (): Promise<void> => {
    while (!end.signal.aborted) {
      const wait = await keeper.step(pace).then(
        (more) => (more ? 1 : CAUGHT_UP_MS),
        (error: unknown) => {
          deps.log.warn({ err: error }, 'documents are not kept for the moment')
          return FAILED_MS
        },
      )
      await rest(wait)
    }
  }
  const running = run()
  return {
    keeper,
    async stop() {
      end.abort()
      await running
    },
  }
}
