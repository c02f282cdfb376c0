/** Test help: a database that takes batches as ours does, by unique ids and keys, and has moods. */
import type { Aftermath, GroupCommitWork } from './group-commit.ts'

export interface Item {
  readonly id: string
  readonly key: string | undefined
  readonly bytes: number
  /** Breaks a rule of the database: no batch that holds it can be stored. */
  readonly poisoned: boolean
}

export interface Row {
  readonly id: string
  readonly key: string | undefined
  readonly index: number
}

/** How one commit goes; without a mood it succeeds at once. */
export type Mood =
  | { readonly kind: 'slow'; readonly ms: number }
  | { readonly kind: 'no-connection' | 'retryable' | 'drops' | 'commits-then-drops' }
  /** Breaks off while the server is still at work. */
  | { readonly kind: 'commits-late'; readonly afterMs: number }
  /** Silent until the time is over; then nobody knows. */
  | { readonly kind: 'hangs'; readonly ms: number; readonly commits: boolean }

export class Failure extends Error {
  readonly aftermath: Aftermath
  constructor(aftermath: Aftermath, message: string) {
    super(message)
    this.aftermath = aftermath
  }
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms))

export class FaultyDatabase implements GroupCommitWork<Item, Row | 'taken'> {
  readonly rows: Row[] = []
  readonly batches: (readonly Item[])[] = []
  underWayMost = 0
  #underWay = 0
  readonly #moods: Mood[]
  readonly #silences: number[]

  /** Each commit meets the next mood; each look-up is first refused as often as the next of the silences says. */
  constructor(moods: readonly Mood[], silences: readonly number[], usedKeys: readonly string[]) {
    this.#moods = [...moods]
    this.#silences = [...silences]
    for (const key of usedKeys) this.rows.push({ id: 'of another process', key, index: this.rows.length })
  }

  async commit(batch: readonly Item[]): Promise<(Row | 'taken')[]> {
    this.batches.push(batch)
    this.#underWay += 1
    this.underWayMost = Math.max(this.underWayMost, this.#underWay)
    try {
      return await this.#commit(batch, this.#moods.shift())
    } finally {
      this.#underWay -= 1
    }
  }

  async #commit(batch: readonly Item[], mood: Mood | undefined): Promise<(Row | 'taken')[]> {
    const brokeOff = new Failure('unknown', 'broke off')
    switch (mood?.kind) {
      case undefined:
        return this.#store(batch)
      case 'slow':
        await pause(mood.ms)
        return this.#store(batch)
      case 'no-connection':
        throw new Failure('nothing', 'no connection')
      case 'retryable':
        throw new Failure('again', 'retryable')
      case 'drops':
        throw brokeOff
      case 'commits-then-drops':
        this.#storeUnheard(batch)
        throw brokeOff
      case 'commits-late':
        setTimeout(() => this.#storeUnheard(batch), mood.afterMs)
        throw brokeOff
      case 'hangs':
        await pause(mood.ms)
        if (mood.commits) this.#storeUnheard(batch)
        throw brokeOff
    }
  }

  /** All or none; keys used before are told and stored nothing. */
  #store(batch: readonly Item[]): (Row | 'taken')[] {
    const isTaken = ({ key }: Item): boolean => key !== undefined && this.rows.some((row) => row.key === key)
    const fresh = batch.filter((item) => !isTaken(item))
    if (fresh.some(({ poisoned }) => poisoned)) throw new Failure('one-item', 'poisoned')
    if (fresh.some(({ id }) => this.rows.some((row) => row.id === id))) throw new Failure('one-item', 'id exists')
    const taken = new Set(batch.filter(isTaken))
    const written = new Map<Item, Row>()
    for (const item of fresh) {
      if (item.key !== undefined && this.rows.some(({ key }) => key === item.key)) {
        // Two of one batch with one key: the second finds it used.
        taken.add(item)
        continue
      }
      const row = { id: item.id, key: item.key, index: this.rows.length }
      this.rows.push(row)
      written.set(item, row)
    }
    return batch.map((item) => (taken.has(item) ? 'taken' : written.get(item)!))
  }

  /** As the server would, when nobody listens any more. */
  #storeUnheard(batch: readonly Item[]): void {
    try {
      this.#store(batch)
    } catch {
      // It rolled back, and there was nobody to tell.
    }
  }

  async find(batch: readonly Item[]): Promise<(Row | undefined)[]> {
    const left = this.#silences[0] ?? 0
    if (left > 0) {
      this.#silences[0] = left - 1
      throw new Error('no answer')
    }
    this.#silences.shift()
    return batch.map((item) => this.rows.find(({ id }) => id === item.id))
  }

  aftermathOf(error: unknown): Aftermath {
    if (error instanceof Failure) return error.aftermath
    throw error
  }

  bytesOf({ bytes }: Item): number {
    return bytes
  }
}
