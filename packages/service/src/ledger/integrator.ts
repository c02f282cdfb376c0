/**
 * Keeps the tree and its checkpoint close behind the entries. Every process does; the lock lets one at a time.
 *
 * Word of new entries comes from this process at once, of others’ by a look every half second. What comes within a
 * fifth of a second goes into one checkpoint.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import type pg from 'pg'
import type { Logger } from 'pino'
import { integrate, KeyNotInForce, RefusedToSign, type Step } from './integrate.ts'
import type { LogSigners } from './key-record.ts'
import { treeAndHead } from './stored-tree.ts'

export interface IntegratorDeps {
  readonly pool: pg.Pool
  readonly signers: LogSigners
  readonly now: () => Date
  readonly log: Logger
}

const GATHER_MS = 200
const LOOK_MS = 500
const BACKOFF_MS = { first: 200, most: 15_000 }
/** While another process holds the lock. */
const BUSY_MS = 50

export class Integrator {
  readonly #deps: IntegratorDeps
  #seen: Step['covered'] | undefined
  /** How many entries there are, as far as this process knows. */
  #known = 0
  /** Entries that the tree doesn't cover, and since when this process knows of them. */
  #behind: { readonly size: number; readonly sinceMs: number } | undefined
  #timer: NodeJS.Timeout | undefined
  #dueMs = Number.POSITIVE_INFINITY
  #turn: Promise<void> | undefined
  #failures = 0
  #refusal: string | undefined
  #told: string | undefined
  #closed = false

  constructor(deps: IntegratorDeps) {
    this.#deps = deps
  }

  start(): void {
    this.#schedule(0)
  }

  /** There are `size` entries now. */
  appended(size: number): void {
    this.#note(size)
    // After a failure the wait is longer, whoever has news.
    if (this.#failures === 0) this.#schedule(GATHER_MS)
  }

  /** Seconds for which entries this process knows of have not been under a checkpoint. */
  get lagS(): number {
    return this.#behind === undefined ? 0 : (performance.now() - this.#behind.sinceMs) / 1000
  }

  /** Why nothing is signed, where what is stored isn't what was signed. */
  get refusal(): string | undefined {
    return this.#refusal
  }

  /** Answers when the tree covers every entry that there is now, whichever process made it so. */
  async settle(): Promise<void> {
    const { next } = await treeAndHead(this.#deps.pool)
    this.#note(next)
    while (this.#covered < next) {
      const step = await this.#step()
      if (step === undefined) await sleep(BUSY_MS)
      else if (step.added === 0 && step.covered.size < next) throw new Error('Entries that were there are gone.')
    }
  }

  /** Covers what is there, if that is possible at once, and ends. */
  async close(): Promise<void> {
    this.#closed = true
    clearTimeout(this.#timer)
    await this.#turn
    if (this.#behind === undefined || this.#failures > 0) return
    await this.#step().catch((error: unknown) => this.#deps.log.warn({ err: error }, 'ledger left behind its entries'))
  }

  get #covered(): number {
    return this.#seen?.size ?? 0
  }

  #note(next: number): void {
    this.#known = Math.max(this.#known, next)
    if (this.#known > this.#covered) this.#behind ??= { size: this.#known, sinceMs: performance.now() }
  }

  /** The tree covers so many entries, whoever made it so. */
  #reached(size: number): void {
    if (this.#behind === undefined || size < this.#behind.size) return
    // What came since then has waited since now at most.
    this.#behind = size < this.#known ? { size: this.#known, sinceMs: performance.now() } : undefined
  }

  /** Takes a turn in so many ms, or earlier where one is due earlier. */
  #schedule(inMs: number): void {
    const dueMs = performance.now() + inMs
    if (this.#closed || this.#turn !== undefined || dueMs >= this.#dueMs) return
    clearTimeout(this.#timer)
    this.#dueMs = dueMs
    this.#timer = setTimeout(() => {
      this.#turn = this.#takeTurn().then((nextMs) => {
        this.#turn = undefined
        this.#schedule(nextMs)
      })
    }, inMs)
    // An idle process may end.
    this.#timer.unref()
  }

  /** Answers in how many ms to come again. */
  async #takeTurn(): Promise<number> {
    this.#dueMs = Number.POSITIVE_INFINITY
    try {
      const { size, next } = await treeAndHead(this.#deps.pool)
      this.#known = Math.max(this.#known, next)
      if (next > size) this.#behind ??= { size: next, sinceMs: performance.now() }
      this.#reached(size)
      const step = next > size ? await this.#step() : undefined
      this.#failures = 0
      if (next <= size) return LOOK_MS
      if (step === undefined) return BUSY_MS
      if (step.more) return 0
      return this.#behind === undefined ? LOOK_MS : GATHER_MS
    } catch (error) {
      this.#failures += 1
      this.#tell(error)
      return Math.min(BACKOFF_MS.first * 2 ** (this.#failures - 1), BACKOFF_MS.most)
    }
  }

  async #step(): Promise<Step | undefined> {
    const { pool, signers, now } = this.#deps
    try {
      const step = await integrate({ pool, signers, now, seen: this.#seen })
      if (step === undefined) return undefined
      this.#refusal = undefined
      this.#seen = step.covered
      this.#reached(step.covered.size)
      return step
    } catch (error) {
      if (error instanceof RefusedToSign) this.#refusal = error.message
      throw error
    }
  }

  #tell(error: unknown): void {
    const { log } = this.#deps
    if (error instanceof RefusedToSign) log.fatal({ reason: error.message }, 'ledger is NOT signed: it was changed')
    else if (error instanceof KeyNotInForce) {
      if (this.#told !== error.message) log.warn({ reason: error.message }, 'ledger is signed by others')
      this.#told = error.message
    } else log.error({ err: error, failures: this.#failures }, 'ledger not extended, to be tried again')
  }
}
