/** An answer with its circumstances. */
export interface Answer<T> {
  readonly data: T
  /** Status and headers; its body has been read, into `bytes`. */
  readonly response: Response
  /** The body as it was received, for whoever keeps or hashes it. */
  readonly bytes: Uint8Array<ArrayBuffer>
  /** Tag of this state of the record, to change it only if it is still so (`ifMatch`); undefined where it has none. */
  readonly etag: string | undefined
  readonly requestId: string | undefined
  /** True if the service had carried out this very request before, and only repeated its answer. */
  readonly replayed: boolean
}

/** Status codes whose response can't have a body (Fetch standard, null body status). */
const BODILESS = new Set([204, 205, 304])

/**
 * What every method returns: await it for the body, `.withResponse()` for status and headers too, `.asResponse()` for
 * a response as `fetch` would have given it.
 */
export class ApiPromise<T> implements Promise<T> {
  readonly [Symbol.toStringTag] = 'ApiPromise'
  readonly #answer: Promise<Answer<T>>

  constructor(answer: Promise<Answer<T>>) {
    this.#answer = answer
  }

  withResponse(): Promise<Answer<T>> {
    return this.#answer
  }

  /** A response whose body waits to be read: as text, bytes or a stream. It came whole, so reading it can't fail. */
  async asResponse(): Promise<Response> {
    const { bytes, response } = await this.#answer
    const { status, statusText, headers } = response
    return new Response(BODILESS.has(status) ? null : bytes, { status, statusText, headers })
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
