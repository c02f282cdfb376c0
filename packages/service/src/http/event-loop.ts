/** How late the event loop is: whatever holds it up holds every request up. */
import { monitorEventLoopDelay } from 'node:perf_hooks'

const RESOLUTION_MS = 10
/** Long enough that one short stop alone doesn't count, short enough to notice when it is over. */
const WINDOW_MS = 2_000

export interface EventLoopDelay {
  /** Of 100 timers of the last two seconds one was later than this, in ms. */
  readonly p99Ms: number
  stop(): void
}

/** Watches until stopped; doesn't keep the process alive. */
export function watchEventLoop(): EventLoopDelay {
  const histogram = monitorEventLoopDelay({ resolution: RESOLUTION_MS })
  histogram.enable()
  let p99Ms = 0
  const timer = setInterval(() => {
    // The histogram holds how long each timer took, its own time included.
    p99Ms = Math.max(0, histogram.percentile(99) / 1e6 - RESOLUTION_MS)
    histogram.reset()
  }, WINDOW_MS)
  timer.unref()
  return {
    get p99Ms() {
      return p99Ms
    },
    stop() {
      clearInterval(timer)
      histogram.disable()
    },
  }
}
