/**
 * Group commit: what comes while one transaction commits goes together into the next.
 *
 * One flush to disk and one round trip then serve many. Nobody is answered before the commit of what he sent; what
 * spoils a batch is found by halving, and fails alone; and where a connection breaks so that nobody knows whether the
 * commit took place, the database is asked before anything is answered or sent again.
 */
import { Problem } from '../http/problem.ts'

/**
 * What a failed commit leaves behind. `nothing`: not stored, whoever tries now fares the same. `again`: not stored, and
 * a second try may succeed. `one-item`: not stored, and the fault may be a single item's. `unknown`: stored or not.
 */
export type Aftermath = 'nothing' | 'again' | 'one-item' | 'unknown'

export interface GroupCommitLimits {
  /** Items, and their bytes, in one batch at most. */
  readonly batchItemsMax: number
  readonly batchBytesMax: number
  /** Batches under way at once. */
  readonly batchesMax: number
  /** Items, and their bytes, that wait at most; more are refused. */
  readonly waitingItemsMax: number
  readonly waitingBytesMax: number
  /** How long an item waits for its batch; after that it is refused, unsent. */
  readonly waitMsMax: number
  /** For how long the database is asked what became of a batch. */
  readonly settleMsMax: number
}

/** Each call ends within bounded time, however the database fares. */
export interface GroupCommitWork<Item, Outcome> {
  /** Stores all or none, durably when it returns; answers in the order of the items. */
  commit(items: readonly Item[]): Promise<readonly Outcome[]>
  /** What became of items in a commit of which nobody knows whether it took place; undefined where they aren't stored. */
  find(items: readonly Item[]): Promise<readonly (Outcome | undefined)[]>
  aftermathOf(error: unknown): Aftermath
  bytesOf(item: Item): number
  /** A commit of so many items took that long, whatever came of it. */
  observe?: ((items: number, ms: number) => void) | undefined
}

interface Entry<Item, Outcome> {
  readonly item: Item
  readonly bytes: number
  readonly since: number
  readonly resolve: (outcome: Outcome) => void
  readonly reject: (error: unknown) => void
  tries: number
  /** A commit of it broke off and it wasn't there when asked: the server may still be at work on it. */
  inDoubt: boolean
}

const TRIES_MAX = 3
const PAUSE_MS = 20

const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms))

export class GroupCommit<Item, Outcome> {
  readonly #work: GroupCommitWork<Item, Outcome>
  readonly #limits: GroupCommitLimits
  #waiting: Entry<Item, Outcome>[] = []
  #waitingBytes = 0
  #underWay = 0
  #scheduled = false
  #expiry: NodeJS.Timeout | undefined
  #drained: (() => void)[] = []

  constructor(work: GroupCommitWork<Item, Outcome>, limits: GroupCommitLimits) {
    this.#work = work
    this.#limits = limits
  }

  /**
   * Answers when the item is stored.
   *
   * Throws `overloaded` where too many wait, `database-unavailable` where nothing could be stored, `timeout` where
   * nobody knows; otherwise what `commit` throws for the item alone.
   */
  submit(item: Item): Promise<Outcome> {
    return new Promise((resolve, reject) => {
      const bytes = this.#work.bytesOf(item)
      const { waitingItemsMax, waitingBytesMax } = this.#limits
      if (this.#waiting.length >= waitingItemsMax || this.#waitingBytes + bytes > waitingBytesMax) {
        reject(
          new Problem('overloaded', 'More submissions wait than can be stored in time; nothing was stored.', {
            retryAfterS: 1,
          }),
        )
        return
      }
      this.#waiting.push({ item, bytes, since: performance.now(), resolve, reject, tries: 0, inDoubt: false })
      this.#waitingBytes += bytes
      this.#schedule()
    })
  }

  /** Items that wait, and batches under way, at this moment. */
  get load(): { readonly waiting: number; readonly underWay: number } {
    return { waiting: this.#waiting.length, underWay: this.#underWay }
  }

  /** Answers when nothing waits and nothing is under way. */
  drain(): Promise<void> {
    return new Promise((resolve) => {
      this.#drained.push(resolve)
      this.#tellDrained()
    })
  }

  #schedule(): void {
    if (this.#waiting.length === 0) return
    if (this.#underWay >= this.#limits.batchesMax) {
      this.#watch()
      return
    }
    if (this.#scheduled) return
    this.#scheduled = true
    // At the end of this turn, so that all that came in it go together; nothing waits for company beyond that.
    setImmediate(() => {
      this.#scheduled = false
      while (this.#waiting.length > 0 && this.#underWay < this.#limits.batchesMax) void this.#send(this.#take())
      this.#schedule()
    })
  }

  #take(): Entry<Item, Outcome>[] {
    const { batchItemsMax, batchBytesMax } = this.#limits
    let bytes = 0
    let count = 0
    for (const entry of this.#waiting) {
      if (count === batchItemsMax || (count > 0 && bytes + entry.bytes > batchBytesMax)) break
      bytes += entry.bytes
      count += 1
    }
    this.#waitingBytes -= bytes
    return this.#waiting.splice(0, count)
  }

  /** While batches hang, those that wait are not kept for ever. */
  #watch(): void {
    if (this.#expiry !== undefined || this.#waiting.length === 0) return
    const { waitMsMax } = this.#limits
    const left = this.#waiting[0]!.since + waitMsMax - performance.now()
    this.#expiry = setTimeout(
      () => {
        this.#expiry = undefined
        const late = performance.now() - waitMsMax
        while (this.#waiting.length > 0 && this.#waiting[0]!.since <= late) {
          const entry = this.#waiting.shift()!
          this.#waitingBytes -= entry.bytes
          entry.reject(
            new Problem('database-unavailable', 'The database did not take it in time; nothing was stored.', {
              retryAfterS: 1,
            }),
          )
        }
        this.#watch()
        this.#tellDrained()
      },
      Math.max(1, left),
    )
  }

  async #send(batch: readonly Entry<Item, Outcome>[]): Promise<void> {
    this.#underWay += 1
    try {
      await this.#settle(batch)
    } catch (error) {
      for (const { reject } of batch) reject(error)
    } finally {
      this.#underWay -= 1
      this.#schedule()
      this.#tellDrained()
    }
  }

  async #settle(batch: readonly Entry<Item, Outcome>[]): Promise<void> {
    for (const entry of batch) entry.tries += 1
    let outcomes: readonly Outcome[]
    const began = performance.now()
    try {
      outcomes = await this.#work.commit(batch.map(({ item }) => item))
    } catch (error) {
      return this.#afterFailure(batch, error)
    } finally {
      this.#work.observe?.(batch.length, performance.now() - began)
    }
    for (const [place, { resolve }] of batch.entries()) resolve(outcomes[place]!)
  }

  async #afterFailure(batch: readonly Entry<Item, Outcome>[], error: unknown): Promise<void> {
    const aftermath = this.#work.aftermathOf(error)
    if (aftermath === 'unknown') return this.#findOut(batch, error)
    const [once, often] = partition(batch, ({ tries }) => tries < TRIES_MAX)
    if (aftermath === 'again' && once.length > 0) {
      for (const entry of often) refuse(entry, aftermath, error)
      // Not all at the same moment again.
      await sleep(PAUSE_MS * (0.5 + Math.random()))
      return this.#settle(once)
    }
    if (aftermath === 'one-item') {
      if (batch.length > 1) return this.#halve(batch)
      // Its own earlier try may have been stored after all: then the second one collides with the first.
      if (batch[0]!.tries > 1) return this.#findOut(batch, error)
    }
    for (const entry of batch) refuse(entry, aftermath, error)
  }

  async #halve(batch: readonly Entry<Item, Outcome>[]): Promise<void> {
    const middle = batch.length >> 1
    // Not a try of their own: it failed for another's fault.
    for (const entry of batch) entry.tries -= 1
    await this.#settle(batch.slice(0, middle))
    await this.#settle(batch.slice(middle))
  }

  /** Those that are stored are answered. The others go once more, with the same ids and keys: never stored twice. */
  async #findOut(batch: readonly Entry<Item, Outcome>[], cause: unknown): Promise<void> {
    const found = await this.#ask(batch)
    const aftermath = this.#work.aftermathOf(cause)
    const absent: Entry<Item, Outcome>[] = []
    for (const [place, entry] of batch.entries()) {
      const outcome = found?.[place]
      if (outcome !== undefined) entry.resolve(outcome)
      else if (found === undefined) refuse(entry, 'unknown', cause)
      else {
        entry.inDoubt ||= aftermath === 'unknown'
        if (entry.tries < TRIES_MAX) absent.push(entry)
        else refuse(entry, aftermath, cause)
      }
    }
    if (absent.length > 0) await this.#settle(absent)
  }

  /** Asked until there is an answer; undefined when the time is over. */
  async #ask(batch: readonly Entry<Item, Outcome>[]): Promise<readonly (Outcome | undefined)[] | undefined> {
    const until = performance.now() + this.#limits.settleMsMax
    for (let pause = PAUSE_MS; ; pause = Math.min(2 * pause, 1000)) {
      try {
        return await this.#work.find(batch.map(({ item }) => item))
      } catch {
        if (performance.now() + pause > until) return undefined
        await sleep(pause)
      }
    }
  }

  #tellDrained(): void {
    if (this.#waiting.length > 0 || this.#underWay > 0) return
    for (const tell of this.#drained.splice(0)) tell()
  }
}

/** Says that nothing was stored only where that is certain. An item's own fault is told as it is. */
function refuse(
  entry: Pick<Entry<unknown, unknown>, 'inDoubt' | 'reject'>,
  aftermath: Aftermath,
  cause: unknown,
): void {
  if (aftermath === 'one-item' || (aftermath === 'again' && !entry.inDoubt)) {
    entry.reject(cause)
    return
  }
  const problem =
    aftermath === 'nothing' && !entry.inDoubt
      ? new Problem('database-unavailable', 'The database could not store it; nothing was stored.', {
          retryAfterS: 1,
          cause,
        })
      : new Problem('timeout', 'The database broke off; whether it was stored is unknown.', { retryAfterS: 1, cause })
  entry.reject(problem)
}

function partition<T>(all: readonly T[], isFirst: (one: T) => boolean): [T[], T[]] {
  return [all.filter(isFirst), all.filter((one) => !isFirst(one))]
}
