/** Long work in slices, between which requests are served. */
import { setImmediate as nextTurn } from 'node:timers/promises'

/** What a request may wait for work that is none of its own, in ms; a slice ends at the next place where it may. */
const SLICE_MS = 5

export class Slices {
  #began = performance.now()

  /** Whether it is time to let others in: then `await` {@link next}. Asked apart, since awaiting costs something too. */
  get isOver(): boolean {
    return performance.now() - this.#began > SLICE_MS
  }

  /** Answers when what came meanwhile had its turn. */
  async next(): Promise<void> {
    await nextTurn()
    this.#began = performance.now()
  }
}
