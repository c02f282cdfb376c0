/** Lists: await one page, or `for await` over the items of all pages. */
import { type Answer, ApiPromise } from './answer.ts'

/** A page as it comes over the wire. */
export interface WirePage<T> {
  readonly items: readonly T[]
  readonly next?: string
}

export class Page<T, Whole extends WirePage<T> = WirePage<T>> implements AsyncIterable<T> {
  readonly items: readonly T[]
  /** The page as it came, with what some lists tell of themselves beside their items. */
  readonly whole: Whole
  /** Cursor of the page after this one; absent on the last. */
  readonly next: string | undefined
  readonly #load: (cursor: string) => PromiseLike<Page<T, Whole>>

  constructor(page: Whole, load: (cursor: string) => PromiseLike<Page<T, Whole>>) {
    this.items = page.items
    this.whole = page
    this.next = page.next
    this.#load = load
  }

  /** The page after this one; undefined after the last. */
  async nextPage(): Promise<Page<T, Whole> | undefined> {
    return this.next === undefined ? undefined : await this.#load(this.next)
  }

  /** The items of this page and of all after it, fetched as they are needed. */
  async *[Symbol.asyncIterator](): AsyncGenerator<T, void, undefined> {
    let page: Page<T, Whole> | undefined = this
    while (page !== undefined) {
      yield* page.items
      page = await page.nextPage()
    }
  }
}

/** What every list method returns. */
export class PagePromise<T, Whole extends WirePage<T> = WirePage<T>>
  extends ApiPromise<Page<T, Whole>>
  implements AsyncIterable<T>
{
  constructor(answer: Promise<Answer<Page<T, Whole>>>) {
    super(answer)
  }

  async *[Symbol.asyncIterator](): AsyncGenerator<T, void, undefined> {
    yield* await this
  }
}
