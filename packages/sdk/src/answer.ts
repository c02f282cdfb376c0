/** An answer with its circumstances. */
export interface Answer<T> {
  readonly data: T
  /** Status and headers; its body has been read. */
  readonly response: Response
  readonly requestId: string | undefined
  /** True if the service had carried out this very request before, and only repeated its answer. */
  readonly replayed: boolean
}

/** What every method returns: await it for the body, or `.withResponse()` for status and headers too. */
export class ApiPromise<T> implements Promise<T> {
  readonly [Symbol.toStringTag] = 'ApiPromise'
  readonly #answer: Promise<Answer<T>>

  constructor(answer: Promise<Answer<T>>) {
    this.#answer = answer
  }

  withResponse(): Promise<Answer<T>> {
    return this.#answer
  }

  // biome-ignore lint/suspicious/noThenProperty: being awaited is its purpose
  then<A = T, B = never>(
    fulfilled?: ((data: T) => A | PromiseLike<A>) | null,
    rejected?: ((reason: unknown) => B | PromiseLike<B>) | null,
  ): Promise<A | B> {
    return this.#answer.then(({ data }) => data).then(fulfilled, rejected)
  }

  catch<B = never>(rejected?: ((reason: unknown) => B | PromiseLike<B>) | null): Promise<T | B> {
    return this.then(null, rejected)
  }

  finally(settled?: (() => void) | null): Promise<T> {
    return this.then().finally(settled)
  }
}
