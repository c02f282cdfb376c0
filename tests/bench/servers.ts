/** Servers in processes of their own, as they would run, and load on them from this one. Loopback only. */
import { type ChildProcess, fork } from 'node:child_process'
import { randomBytes, randomUUID } from 'node:crypto'
import { once } from 'node:events'
import { mkdtempSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type Embedded, startEmbedded } from '@liftledger/service/embedded'
import autocannon, { type Options } from 'autocannon'
import pg from 'pg'

/** Settings of every service that is measured; the pepper protects nothing here. */
export const SERVICE_SETTINGS = {
  KEY_PEPPER: 'a pepper for the bench, of 32 characters or more',
  // One firm sends more than a firm may: it is counted all the same. All else is as it comes.
  RATE_PER_MINUTE: '1000000',
} as const

let embedded: Promise<Embedded> | undefined

/** A new database, which no other measurement has filled, on the Postgres of this run; answers its URL. */
export async function freshDatabase(): Promise<string> {
  // Started when first asked for, with the settings that the product gives it, and thrown away.
  embedded ??= startEmbedded({ directory: mkdtempSync(join(tmpdir(), 'liftledger-bench-')), persistent: false })
  const url = new URL((await embedded).url)
  const name = `bench_${randomBytes(3).toString('hex')}`
  const client = new pg.Client(url.href)
  await client.connect()
  try {
    await client.query(`create database ${name} template template0 encoding 'UTF8' lc_collate 'C' lc_ctype 'C'`)
  } finally {
    await client.end()
  }
  url.pathname = name
  return url.href
}

export async function stopDatabase(): Promise<void> {
  if (embedded !== undefined) await (await embedded).stop()
}

/** A port of the loopback that is free now. */
export async function freePort(): Promise<number> {
  const probe = createServer().listen(0, '127.0.0.1')
  await once(probe, 'listening')
  const { port } = probe.address() as { port: number }
  probe.close()
  await once(probe, 'close')
  return port
}

export interface Server<T> {
  readonly told: T
  stop(): Promise<void>
}

/** Starts a script that tells by message when it listens, and ends when told to or when this process ends. */
export async function startServer<T>(script: string, ...args: string[]): Promise<Server<T>> {
  const child: ChildProcess = fork(fileURLToPath(new URL(script, import.meta.url)), args, {
    // Its log goes where a log costs least; it is written all the same.
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    // As `npm start` does; the baselines get it as well.
    execArgv: ['--max-semi-space-size=64', ...process.execArgv],
  })
  const ended = once(child, 'exit')
  const told = await Promise.race([once(child, 'message'), ended.then(() => undefined)])
  if (told === undefined) throw new Error(`${script} ended before it listened.`)
  return {
    told: told[0] as T,
    async stop() {
      child.disconnect()
      await ended
    },
  }
}

export interface Load {
  readonly perSecond: number
  readonly p99Ms: number
  /** Of one answer with its header, on average. */
  readonly bytes: number
}

export const CONNECTIONS = 32

/**
 * Sends bodies in turn on 32 connections, if not told otherwise, for some seconds, each with an idempotency key of its
 * own; any answer that is not a success is an error.
 */
export function load(options: {
  url: string
  bodies: readonly string[]
  seconds: number
  headers?: Record<string, string>
  connections?: number
}): Promise<Load> {
  const { url, bodies, seconds, connections = CONNECTIONS } = options
  const headers = { 'content-type': 'application/json', ...options.headers }
  let sent = 0
  return drive({
    url,
    method: 'POST',
    connections,
    duration: seconds,
    headers,
    requests: [
      {
        setupRequest: (request: object) => ({
          ...request,
          headers: { ...headers, 'idempotency-key': `"${randomUUID()}"` },
          body: bodies[sent++ % bodies.length]!,
        }),
      },
    ],
  })
}

/** Asks for each of the paths in turn on 32 connections, each of which begins at another one. */
export function read(options: {
  url: string
  paths: readonly string[]
  seconds: number
  headers: Record<string, string>
}): Promise<Load> {
  const { url, paths, seconds, headers } = options
  let asked = 0
  return drive({
    url,
    method: 'GET',
    duration: seconds,
    headers,
    requests: [{ setupRequest: (request: object) => ({ ...request, path: paths[asked++ % paths.length]! }) }],
  })
}

async function drive(options: Omit<Options, 'connections'> & { connections?: number }): Promise<Load> {
  const { non2xx, errors, requests, duration, latency, throughput } = await autocannon({
    connections: CONNECTIONS,
    // It ends at a sample only: so that half a second is half a second.
    sampleInt: 250,
    ...options,
  })
  if (non2xx > 0 || errors > 0) throw new Error(`${options.url}: ${non2xx} refusals, ${errors} errors.`)
  return {
    perSecond: requests.total / duration,
    p99Ms: latency.p99,
    bytes: throughput.total / Math.max(1, requests.total),
  }
}
