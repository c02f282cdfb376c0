/**
 * Questions gathered: those that come in one turn of the event loop travel as one message and are answered by one.
 *
 * Under load a question's own cost in the database is small beside a message's. Nothing waits for company: alone, a
 * question leaves at the end of the turn it came in; the others wait only while as many messages as allowed are out.
 */
import { Problem } from '../http/problem.ts'

export interface GatherLimits {
  /** Questions in one message at most. */
  readonly itemsMax: number
  /** Messages under way at once. */
  readonly messagesMax: number
  /** Questions that wait at most; more are refused. */
  readonly waitingMax: number
}

interface Waiting<Item, Answer> {
  readonly item: Item
  readonly resolve: (answer: Answer) => void
  readonly reject: (error: unknown) => void
}

export class Gatherer<Item, Answer> {
  readonly #askAll: (items: readonly Item[]) => Promise<readonly Answer[]>
  readonly #isOneItems: (error: unknown) => boolean
  readonly #limits: GatherLimits
  #waiting: Waiting<Item, Answer>[] = []
  #underWay = 0
  #scheduled = false

  /**
   * `askAll` answers items in their order. A failure for which `isOneItems` is true may be the fault of a single
   * item: then each of its company is asked again alone, so that it fails alone.
   */
  constructor(
    askAll: (items: readonly Item[]) => Promise<readonly Answer[]>,
    { isOneItems, ...limits }: GatherLimits & { readonly isOneItems: (error: unknown) => boolean },
  ) {
    this.#askAll = askAll
    this.#isOneItems = isOneItems
    this.#limits = limits
  }

  /** Throws `overloaded` where too many wait, or what `askAll` throws. */
  ask(item: Item): Promise<Answer> {
    return new Promise((resolve, reject) => {
      if (this.#waiting.length >= this.#limits.waitingMax) {
        reject(new Problem('overloaded', 'More reads wait than can be answered in time.', { retryAfterS: 1 }))
        return
      }
      this.#waiting.push({ item, resolve, reject })
      this.#schedule()
    })
  }

  #schedule(): void {
    if (this.#scheduled || this.#waiting.length === 0 || this.#underWay >= this.#limits.messagesMax) return
    this.#scheduled = true
    setImmediate(() => {
      this.#scheduled = false
      while (this.#waiting.length > 0 && this.#underWay < this.#limits.messagesMax) {
        void this.#send(this.#waiting.splice(0, this.#limits.itemsMax))
      }
    })
  }

  async #send(company: readonly Waiting<Item, Answer>[]): Promise<void> {
    this.#underWay += 1
    try {
      await this.#settle(company)
    } finally {
      this.#underWay -= 1
      this.#schedule()
    }
  }

  async #settle(company: readonly Waiting<Item, Answer>[]): Promise<void> {
    try {
      const answers = await this.#askAll(company.map(({ item }) => item))
      for (const [place, { resolve }] of company.entries()) resolve(answers[place]!)
    } catch (error) {
      if (company.length > 1 && this.#isOneItems(error)) for (const one of company) await this.#settle([one])
      else for (const { reject } of company) reject(error)
    }
  }
}
