/** What the bench uses of autocannon, which brings no types. */
declare module 'autocannon' {
  interface Result {
    readonly requests: { readonly total: number }
    /** Bytes received. */
    readonly throughput: { readonly total: number }
    readonly latency: { readonly p99: number }
    readonly duration: number
    readonly non2xx: number
    readonly errors: number
  }
  interface Request {
    headers?: Record<string, string>
    path?: string
  }
  export interface Options {
    readonly url: string
    readonly method?: 'GET' | 'POST'
    readonly connections: number
    readonly duration: number
    /** Between two looks at the counts, in ms. */
    readonly sampleInt?: number
    readonly headers?: Record<string, string>
    readonly body?: string
    readonly requests?: readonly { setupRequest: (request: Request) => Request }[]
  }
  export default function autocannon(options: Options): Promise<Result>
}
