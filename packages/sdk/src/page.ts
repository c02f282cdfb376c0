/** Lists: await one page, or `for await` over the items of all pages. */
import { type Answer, ApiPromise } from './answer.ts'

/** A page as it comes over the wire. */
export interface WirePage<T> {
  readonly items: readonly T[]
  readonly next?: string
}

export class Page<T> implements AsyncIterable<T> {
  readonly items: readonly T[]
  /** Cursor of the page after this one; absent on the last. */
  readonly next: string | undefined
  readonly #load: (cursor: string) => PromiseLike<Page<T>>

  constructor(page: WirePage<T>, load: (cursor: string) => PromiseLike<Page<T>>) {
    this.items = page.items
    this.next = page.next
    this.#load = load
  }

  /** The page after this one; undefined after the last. */
  async nextPage(): Promise<Page<T> | undefined> {
    return this.next === undefined ? undefined : await this.#load(this.next)
  }

  /** The items of this page and of all after it, fetched as they are needed. */
  async *[Symbol.asyncIterator](): AsyncGenerator<T, void, undefined> {
    let page: Page<T> | undefined = this
    while (page !== undefined) {
      yield* page.items
      page = await page.nextPage()
    }
  }
}

/** What every list method returns. */
export class PagePromise<T> extends ApiPromise<Page<T>> implements AsyncIterable<T> {
  constructor(answer: Promise<Answer<Page<T>>>) {
    super(answer)
  }

  async *[Symbol.asyncIterator](): AsyncGenerator<T, void, undefined> {
    yield* await this
  }
}
