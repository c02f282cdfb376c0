/** Runs the comparing with the record beside the requests of a process. */
import { beginPaced } from '../http/paced.ts'
import { type CompareDeps, RecordComparer } from './compare.ts'

/** A test is compared within so many milliseconds and the time of those before it. */
const CAUGHT_UP_MS = 1_000

export interface ComparingWithRecord {
  readonly comparer: RecordComparer
  /** Ends after the test at hand. */
  stop(): Promise<void>
}

export function compareWithRecord(deps: CompareDeps): ComparingWithRecord {
  const comparer = new RecordComparer(deps)
  const stop = beginPaced({
    step: (pace, end) => comparer.step(pace, { end }),
    caughtUpMs: CAUGHT_UP_MS,
    failed: (error) => deps.log.warn({ err: error }, 'tests are not compared with the record for the moment'),
  })
  return { comparer, stop }
}
