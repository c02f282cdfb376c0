/** Work beside the requests of a process, step by step, at a pace that they don't feel. */
import { performance } from 'node:perf_hooks'
import { setTimeout as sleep } from 'node:timers/promises'

/** Awaited after each piece of work, with how long it took. */
export type Pace = (busyMs: number) => Promise<void>

/** Share of a core while the process has other work, and while it has none. */
const SHARE_BUSY = 0.05
const SHARE_IDLE = 0.5
/** Busy is a process whose event loop was in use for more of the last pause than this. */
const BUSY_FROM = 0.1
const FAILED_MS = 10_000

/** How long to rest after `busyMs` of work, so that work is the share of the time that others leave. */
export function restMs(busyMs: number, utilization: number): number {
  const share = utilization > BUSY_FROM ? SHARE_BUSY : SHARE_IDLE
  return busyMs * (1 / share - 1)
}

export interface PacedWork {
  /** Does the next piece; answers whether there may be more. Ends early where it should stop. */
  step(pace: Pace, end: AbortSignal): Promise<boolean>
  /** How long to wait where there was nothing more. */
  readonly caughtUpMs: number
  /** What failed, for the log. It is tried again later. */
  failed(error: unknown): void
}

/** Begins; answers how to end after the piece at hand. */
export function beginPaced({ step, caughtUpMs, failed }: PacedWork): () => Promise<void> {
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
      const wait = await step(pace, end.signal).then(
        (more) => (more ? 1 : caughtUpMs),
        (error: unknown) => {
          failed(error)
          return FAILED_MS
        },
      )
      await rest(wait)
    }
  }
  const running = run()
  return async () => {
    end.abort()
    await running
  }
}
