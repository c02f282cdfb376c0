/** What main process and client process of the torture tell each other. */

/** One line of the journal: what the client was told about one submission. */
export type JournalLine =
  /** Acknowledged: on the client's own disk before it counts. */
  | {
      readonly told: 'stored'
      readonly key: string
      readonly sha256: string
      readonly id: string
      readonly index: number
    }
  /** Refused at its first try with the words that nothing was stored; never sent again. */
  | {
      readonly told: 'refused'
      readonly key: string
      readonly sha256: string
      readonly status: number
      readonly body: string
    }
  /** Refused in a way that no fault of the surroundings excuses. */
  | {
      readonly told: 'wrong'
      readonly key: string
      readonly sha256: string
      readonly status: number
      readonly body: string
    }
  /** At the end still unknown, after repeats with the same key. */
  | { readonly told: 'undecided'; readonly key: string; readonly sha256: string }

export interface ClientTask {
  readonly urls: readonly string[]
  readonly apiKey: string
  readonly journal: string
  readonly connections: number
  /** No more submissions than these. */
  readonly submissionsMax: number
}

/** Told all the time. */
export interface Progress {
  readonly stored: number
  /** Outcomes that were unknown at first; each is repeated with its key until it is known. */
  readonly unknown: number
  readonly refused: number
  readonly wrong: number
  /** 503 and 504. */
  readonly unavailable: number
  /** All is said: the journal is complete. */
  readonly ended: boolean
}
