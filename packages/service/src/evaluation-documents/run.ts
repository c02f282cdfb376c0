/** Runs the keeping of documents beside the requests of a process. */
import type { Deps } from '../deps.ts'
import { beginPaced } from '../http/paced.ts'
import { DocumentKeeper } from './keep.ts'

const CAUGHT_UP_MS = 2_000

export interface KeepingDocuments {
  readonly keeper: DocumentKeeper
  /** Ends after the document at hand. */
  stop(): Promise<void>
}

export function keepDocuments(deps: Pick<Deps, 'databases' | 'log' | 'now'>): KeepingDocuments {
  const keeper = new DocumentKeeper(deps)
  const stop = beginPaced({
    step: (pace) => keeper.step(pace),
    caughtUpMs: CAUGHT_UP_MS,
    failed: (error) => deps.log.warn({ err: error }, 'documents are not kept for the moment'),
  })
  return { keeper, stop }
}
