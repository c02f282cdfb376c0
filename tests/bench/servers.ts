/** Servers in processes of their own, as they would run, and load on them from this one. */
import { type ChildProcess, fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import autocannon from 'autocannon'

export interface Server<T> {
  readonly told: T
  stop(): void
}

/** Starts a script that tells by message when it listens. */
export function startServer<T>(script: string, ...args: string[]): Promise<Server<T>> {
  const child: ChildProcess = fork(fileURLToPath(new URL(script, import.meta.url)), args, {
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  })
  return new Promise((resolve, reject) => {
    child.once('message', (told) => resolve({ told: told as T, stop: () => child.disconnect() }))
    child.once('exit', (code) => reject(new Error(`${script} ended with ${code} before it listened.`)))
  })
}

export interface Load {
  readonly perSecond: number
  readonly p99Ms: number
}

export const CONNECTIONS = 32

/** Sends one body over 32 connections for some seconds; every answer must be the one expected. */
export async function load(options: {
  url: string
  body: string
  seconds: number
  headers?: Record<string, string>
  /** A header that differs in every request. */
  unique?: () => Record<string, string>
}): Promise<Load> {
  const { url, body, seconds, headers = {}, unique } = options
  const result = await autocannon({
    url,
    method: 'POST',
    connections: CONNECTIONS,
    duration: seconds,
    headers: { 'content-type': 'application/json', ...headers },
    body,
    ...(unique && {
      requests: [
        {
          setupRequest: (request: object) => ({
            ...request,
            headers: { 'content-type': 'application/json', ...headers, ...unique() },
          }),
        },
      ],
    }),
  })
  if (result.non2xx > 0 || result.errors > 0)
    throw new Error(`${url}: ${result.non2xx} refusals, ${result.errors} errors.`)
  return { perSecond: result.requests.total / result.duration, p99Ms: result.latency.p99 }
}
