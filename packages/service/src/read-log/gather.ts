/**
 * Reads wait here for the next write. Those whose answer waits go at once, together with what waits with them; the
 * others when there are many, or a moment later.
 */
import pg from 'pg'
import type { Logger } from 'pino'
import { type Aftermath, GroupCommit, type GroupCommitLimits } from '../db/group-commit.ts'
import { codeOf } from '../db/roles.ts'
import type { Read } from './rows.ts'
import { writeReads } from './write.ts'

/** How long a read may be in memory alone, and how many make up a write before that. */
const GATHER_MS = 250
const WRITE_AT = 512

const LIMITS: GroupCommitLimits = {
  batchItemsMax: 256,
  batchBytesMax: 4 * 1024 * 1024,
  batchesMax: 1,
  waitingItemsMax: 1_024,
  waitingBytesMax: 16 * 1024 * 1024,
  waitMsMax: 5_000,
  settleMsMax: 5_000,
}
/** Of a read, in memory and on the way. */
const READ_BYTES = 300

export interface ReadLogDeps {
  readonly pool: pg.Pool
  readonly log: Logger
}

export class ReadLog {
  readonly #log: Logger
  readonly #writer: GroupCommit<readonly Read[], true>
  #noted: Read[] = []
  #timer: NodeJS.Timeout | undefined
  #lost = 0
  #written = 0

  constructor({ pool, log }: ReadLogDeps, limits: Partial<GroupCommitLimits> = {}) {
    this.#log = log
    this.#writer = new GroupCommit<readonly Read[], true>(
      {
        commit: async (items) => {
          const reads = items.flat()
          await writeReads(pool, reads)
          this.#written += reads.length
          return items.map(() => true as const)
        },
        // Nothing is ever in doubt here; see below.
        find: async (items) => items.map(() => undefined),
        aftermathOf,
        bytesOf: (reads) => reads.length * READ_BYTES,
      },
      { ...LIMITS, ...limits },
    )
  }

  /** Reads written by this process, and those that it could not write, since it started. */
  get counts(): { readonly written: number; readonly lost: number } {
    return { written: this.#written, lost: this.#lost }
  }

  /** Writes them within the second; never throws. What can’t be written then is counted, and lost. */
  note(reads: readonly Read[]): void {
    for (const read of reads) this.#noted.push(read)
    if (this.#noted.length >= WRITE_AT) this.#writeNoted()
    else this.#timer ??= setTimeout(() => this.#writeNoted(), GATHER_MS).unref()
  }

  /** Answers when they are stored. Throws `overloaded` or `database-unavailable`, also where it isn’t known whether they are. */
  async store(reads: readonly Read[]): Promise<void> {
    if (reads.length === 0) return
    // What came before stands before.
    this.#writeNoted()
    await this.#writer.submit(reads)
  }

  /** Writes what waits. */
  async drain(): Promise<void> {
    this.#writeNoted()
    await this.#writer.drain()
  }

  #writeNoted(): void {
    clearTimeout(this.#timer)
    this.#timer = undefined
    const reads = this.#noted
    if (reads.length === 0) return
    this.#noted = []
    this.#writer.submit(reads).catch((error: unknown) => {
      this.#lost += reads.length
      this.#log.error({ err: error, reads: reads.length }, 'reads are not on record')
    })
  }
}

/** Rolled back by the server, and worth a second try. */
const AGAIN = new Set(['40001', '40P01', '55P03', '57014'])
/** Said by a server in trouble, or on its way out: no row is to blame. */
const NO_ROW_TO_BLAME = /^(08|25|53|57|58|40003)/

/**
 * What broke off may have been stored. It is not sent again: a read that stands there though nobody was answered says
 * that somebody asked for it, while one that stands there twice would be false.
 */
function aftermathOf(error: unknown): Aftermath {
  if (AGAIN.has(codeOf(error) ?? '')) return 'again'
  const isOfARow = error instanceof pg.DatabaseError && !NO_ROW_TO_BLAME.test(error.code ?? '')
  return isOfARow || error instanceof RangeError ? 'one-item' : 'nothing'
}
