/**
 * A proxy that misbehaves, between a client and a real service: each request meets the next mood of a list, in which
 * it may be refused, lose its answer, get half of it, or get it too late.
 */
import { createServer, type IncomingMessage, request, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { setTimeout as sleep } from 'node:timers/promises'

export interface Passed {
  readonly status: number
  readonly headers: Readonly<Record<string, string | string[] | undefined>>
  readonly body: Buffer
}

/** What becomes of one request, received in full. `pass` sends it on and answers what the service answered. */
export type Mood = (response: ServerResponse, pass: () => Promise<Passed>) => Promise<void>

export interface MoodyProxy {
  readonly url: string
  /** Idempotency keys of the requests so far, in order of arrival. */
  readonly keys: readonly string[]
  /** What the service answered to requests that reached it. */
  readonly passed: readonly Passed[]
  /** Resolves when no request is under way any more, also those whose client is long gone. */
  settle(): Promise<void>
  close(): Promise<void>
}

const answer = (response: ServerResponse, { status, headers, body }: Passed): void => {
  response.writeHead(status, headers as Record<string, string>).end(body)
}

export const good: Mood = async (response, pass) => answer(response, await pass())

/** Refuses without sending on, as a gate in front of the service does. */
export const refuse =
  (status: 429 | 503, retryAfterS: number): Mood =>
  async (response) => {
    response.writeHead(status, { 'retry-after': String(retryAfterS), 'content-type': 'text/plain' }).end('not now\n')
  }

/** The service does its work, and something in front of it says that it doesn't know. */
export const badGateway =
  (status: 502 | 504): Mood =>
  async (response, pass) => {
    await pass()
    response.writeHead(status, { 'content-type': 'text/html' }).end('<h1>Bad gateway</h1>')
  }

/** The connection is cut when the service has done its work: the answer is lost. */
export const loseAnswer: Mood = async (response, pass) => {
  await pass()
  response.socket?.destroy()
}

/** The connection is cut as soon as the request is on its way; the next try may arrive before the service is done. */
export const cutAtOnce: Mood = async (response, pass) => {
  const done = pass()
  response.socket?.destroy()
  await done
}

/** The connection is cut before anything reached the service. */
export const cutBefore: Mood = async (response) => {
  response.socket?.destroy()
}

/** Half of the answer, then the connection is cut. */
export const cutHalfWay: Mood = async (response, pass) => {
  const { status, headers, body } = await pass()
  response.writeHead(status, headers as Record<string, string>)
  await new Promise<void>((resolve) => response.write(body.subarray(0, body.length / 2), () => resolve()))
  response.socket?.destroy()
}

/** The answer comes after the client stopped waiting. */
export const slow =
  (ms: number): Mood =>
  async (response, pass) => {
    const late = await pass()
    await sleep(ms)
    answer(response, late)
  }

/** Starts a proxy in front of `target`. The first request meets the first mood; when the list is over, all is good. */
export async function startProxy(target: string, moods: readonly Mood[]): Promise<MoodyProxy> {
  const keys: string[] = []
  const passed: Passed[] = []
  const underWay = new Set<Promise<void>>()
  const server = createServer((incoming, response) => {
    const one = meet(incoming, response).catch(() => void response.socket?.destroy())
    underWay.add(one)
    void one.finally(() => underWay.delete(one))
  })
  async function meet(incoming: IncomingMessage, response: ServerResponse): Promise<void> {
    const chunks: Buffer[] = []
    for await (const chunk of incoming) chunks.push(chunk as Buffer)
    const mood = moods[keys.length] ?? good
    keys.push(String(incoming.headers['idempotency-key']))
    await mood(response, async () => {
      const one = await forward(target, incoming, Buffer.concat(chunks))
      passed.push(one)
      return one
    })
  }
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    keys,
    passed,
    settle: async () => {
      while (underWay.size > 0) await Promise.all(underWay)
    },
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}

/** Fields that speak of one connection only (RFC 9110, section 7.6.1), or that Node writes itself. */
const HOP_BY_HOP = ['connection', 'keep-alive', 'transfer-encoding', 'host', 'expect']

function forward(target: string, incoming: IncomingMessage, body: Buffer): Promise<Passed> {
  const headers = { ...incoming.headers }
  for (const name of HOP_BY_HOP) delete headers[name]
  return new Promise((resolve, reject) => {
    const url = new URL(incoming.url ?? '/', target)
    const onward = request(url, { method: incoming.method ?? 'GET', headers, agent: false }, async (answered) => {
      const chunks: Buffer[] = []
      for await (const chunk of answered) chunks.push(chunk as Buffer)
      const kept = { ...answered.headers }
      for (const name of HOP_BY_HOP) delete kept[name]
      resolve({ status: answered.statusCode ?? 0, headers: kept, body: Buffer.concat(chunks) })
    })
    onward.on('error', reject)
    onward.end(body)
  })
}
