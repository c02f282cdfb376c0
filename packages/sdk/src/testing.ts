/** A service to test the client against: real sockets, scripted answers, a clock that doesn't wait. */
import { createServer, type IncomingHttpHeaders, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { onTestFinished } from 'vitest'
import type { Clock } from './clock.ts'
import { Requester, type Settings } from './request.ts'

export interface Received {
  readonly method: string
  readonly url: string
  readonly headers: IncomingHttpHeaders
  readonly body: string
}

/** What happens to one request, after it was received in full. */
export type Reply = (response: ServerResponse, request: Received) => void

export interface Service {
  readonly url: string
  /** All requests so far, oldest first. */
  readonly received: readonly Received[]
}

/**
 * Answers the first request by the first reply, the second by the second, and any further one by the last.
 * Ends with the test.
 */
export async function serve(...replies: readonly [Reply, ...Reply[]]): Promise<Service> {
  const received: Received[] = []
  const server = createServer(async (request, response) => {
    let body = ''
    for await (const chunk of request.setEncoding('utf8')) body += chunk
    const one = { method: request.method ?? '', url: request.url ?? '', headers: request.headers, body }
    received.push(one)
    const reply = replies[received.length - 1] ?? replies[replies.length - 1]
    reply?.(response, one)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  onTestFinished(() => {
    server.close()
    server.closeAllConnections()
  })
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`, received }
}

export const json =
  (status: number, body: unknown, headers: Record<string, string> = {}): Reply =>
  (response) =>
    response.writeHead(status, { 'content-type': 'application/json', ...headers }).end(JSON.stringify(body))

/** A refusal as the service writes it. */
export const problem =
  (status: number, code: string, headers: Record<string, string> = {}, more: object = {}): Reply =>
  (response, request) => {
    const document = {
      type: `http://service.invalid/problems/${code}`,
      title: code,
      status,
      code,
      detail: `It is ${code}.`,
    }
    const body = { ...document, instance: request.url, requestId: 'req-1', ...more }
    response.writeHead(status, { 'content-type': 'application/problem+json', ...headers }).end(JSON.stringify(body))
  }

/** Receives everything and says nothing. */
export const silence: Reply = () => {}

/** Receives everything and cuts the connection. */
export const cut: Reply = (response) => response.socket?.destroy()

/** Begins a good answer and cuts the connection in the middle of it. */
export const cutHalfWay: Reply = (response) => {
  response.writeHead(201, { 'content-type': 'application/json', 'content-length': '1000' })
  response.write('{"id":', () => response.socket?.destroy())
}

/** A clock that moves only by sleeping, and writes down how long. Its chance is always the longest. */
export function testClock(startMs = Date.UTC(2026, 4, 12, 8)): Clock & { readonly waits: number[] } {
  const waits: number[] = []
  let nowMs = startMs
  return {
    waits,
    now: () => nowMs,
    random: () => 1,
    sleep: async (ms, signal) => {
      signal.throwIfAborted()
      waits.push(ms)
      nowMs += ms
    },
  }
}

/** A requester on a service, quick to give up unless told otherwise. */
export function requesterOn(service: { readonly url: string }, settings: Partial<Settings> = {}): Requester {
  return new Requester({
    baseUrl: service.url,
    apiKey: 'llk_demo_AAAAAAAAAAAA_secret',
    userAgent: undefined,
    fetch,
    timeoutMs: 5_000,
    totalTimeoutMs: 120_000,
    retries: 3,
    logger: undefined,
    clock: testClock(),
    ...settings,
  })
}
