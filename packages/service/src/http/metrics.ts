/**
 * Figures for whoever runs the service, in the text format of Prometheus.
 *
 * They are served on a port of their own, which belongs on loopback or an inner network. No label comes from a
 * caller: routes are named by their template, problems by their code, pools by their role.
 */
import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import type { FastifyInstance } from 'fastify'
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client'
import type { Databases } from '../db/database.ts'

declare module 'fastify' {
  interface FastifyInstance {
    /** Where metrics are on. */
    metrics?: Registry
    /** Where metrics are on: a batch of so many submissions was stored, or failed, within that time. */
    observeBatch?: (items: number, ms: number) => void
  }
}

const BUCKETS_S = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10]
const METHODS = new Set(['GET', 'HEAD', 'POST', 'PUT', 'PATCH', 'DELETE'])
const PING_MS_MAX = 1_000

interface Measured {
  readonly databases: Pick<Databases, 'ping' | 'connections'>
  readonly eventLoop: { readonly p99Ms: number }
  readonly ledger: { readonly lagS: number }
  readonly reads: { readonly counts: { readonly written: number; readonly lost: number } }
}

/** Measures every request of the app from here on, and asks the rest when it is asked. */
export function registerMetrics(app: FastifyInstance, { databases, eventLoop, ledger, reads }: Measured): Registry {
  const registry = new Registry()
  const registers = [registry]
  const requests = new Histogram({
    name: 'liftledger_request_seconds',
    help: 'Time from the arrival of a request to the end of its answer.',
    labelNames: ['method', 'route', 'status'] as const,
    buckets: BUCKETS_S,
    registers,
  })
  const problems = new Counter({
    name: 'liftledger_problems_total',
    help: 'Answers that are problems, by code; rate-limited and overloaded are refusals before any work.',
    labelNames: ['code'] as const,
    registers,
  })
  app.addHook('onResponse', (request, reply, done) => {
    requests.observe(
      {
        method: METHODS.has(request.method) ? request.method : 'other',
        route: request.is404 ? '(none)' : (request.routeOptions.url ?? '(none)'),
        status: `${Math.floor(reply.statusCode / 100)}xx`,
      },
      reply.elapsedTime / 1000,
    )
    if (reply.problemCode !== undefined) problems.inc({ code: reply.problemCode })
    done()
  })
  app.decorate('observeBatch', batches(registers))
  gauges(app, { eventLoop, ledger, reads }, registers)
  databaseGauges(databases, registers)
  return registry
}

function batches(registers: Registry[]): (items: number, ms: number) => void {
  const sizes = new Histogram({
    name: 'liftledger_batch_submissions',
    help: 'Submissions written in one transaction.',
    buckets: [1, 2, 4, 8, 16, 32, 64, 128],
    registers,
  })
  const commits = new Histogram({
    name: 'liftledger_commit_seconds',
    help: 'Time to write a batch of submissions, until it is durable or has failed.',
    buckets: BUCKETS_S,
    registers,
  })
  return (items, ms) => {
    sizes.observe(items)
    commits.observe(ms / 1000)
  }
}

function gauges(
  app: FastifyInstance,
  { eventLoop, ledger, reads }: Pick<Measured, 'eventLoop' | 'ledger' | 'reads'>,
  registers: Registry[],
): void {
  const gauge = (name: string, help: string, value: () => number): Gauge =>
    new Gauge({
      name: `liftledger_${name}`,
      help,
      registers,
      collect() {
        this.set(value())
      },
    })
  gauge('sheets_in_flight', 'Sheets admitted and not answered yet.', () => app.admission.inFlight)
  gauge(
    'queue_age_seconds',
    'Least time a sheet spent here in the last second, if there were many.',
    () => app.admission.queueAgeMs / 1000,
  )
  gauge(
    'event_loop_delay_seconds',
    '99th percentile of the lateness of timers over two seconds.',
    () => eventLoop.p99Ms / 1000,
  )
  gauge(
    'checkpoint_lag_seconds',
    'Time for which stored entries have not been under a signed checkpoint of the ledger.',
    () => ledger.lagS,
  )
  gauge(
    'reads_logged',
    'Reads of test data put on record by this process since it started.',
    () => reads.counts.written,
  )
  gauge(
    'reads_lost',
    'Reads by firms that were answered and could not be put on record, in this process since it started.',
    () => reads.counts.lost,
  )
}

function databaseGauges(databases: Measured['databases'], registers: Registry[]): void {
  new Gauge({
    name: 'liftledger_pool_connections',
    help: 'Connections to the database by role: open, idle, and requests that wait for one.',
    labelNames: ['role', 'state'] as const,
    registers,
    collect() {
      for (const { role, open, idle, waiting } of databases.connections()) {
        this.set({ role, state: 'open' }, open)
        this.set({ role, state: 'idle' }, idle)
        this.set({ role, state: 'waiting' }, waiting)
      }
    },
  })
  const ping = sharing(async () => {
    const before = performance.now()
    const up = await databases.ping(PING_MS_MAX)
    return { up: up ? 1 : 0, seconds: (performance.now() - before) / 1000 }
  })
  new Gauge({
    name: 'liftledger_database_ping_seconds',
    help: 'Time the database took to answer just now.',
    registers,
    async collect() {
      this.set((await ping()).seconds)
    },
  })
  new Gauge({
    name: 'liftledger_database_up',
    help: `1 if the database answered within ${PING_MS_MAX} ms just now, else 0.`,
    registers,
    async collect() {
      this.set((await ping()).up)
    },
  })
}

/** What became of the evaluations of stored tests, in this process. */
const gaugesOf =
  (registry: Registry, about: string) =>
  (name: string, help: string, value: () => number): Gauge =>
    new Gauge({
      name: `liftledger_${about}_${name}`,
      help,
      registers: [registry],
      collect() {
        this.set(value())
      },
    })

export function measureDocuments(
  registry: Registry,
  counts: { readonly kept: number; readonly differing: number; readonly behind: number },
): void {
  const gauge = gaugesOf(registry, 'evaluation_documents')
  gauge('kept', 'Evaluation documents kept by this process since it started.', () => counts.kept)
  gauge(
    'differing',
    'Tests met by this process whose evaluation is not the recorded one: the calculation or the record changed.',
    () => counts.differing,
  )
  gauge('behind', 'Entries of the ledger that were not looked at yet for evaluations to keep.', () => counts.behind)
}

export function measureComparisons(
  registry: Registry,
  counts: { readonly compared: number; readonly found: number; readonly failing: number; readonly behind: number },
): void {
  const gauge = gaugesOf(registry, 'record_comparisons')
  gauge('compared', 'Tests that this process compared with the record since it started.', () => counts.compared)
  gauge('found', 'Findings that came of it, of any severity.', () => counts.found)
  gauge(
    'failing',
    'Tests that could not be compared: what is stored of them is not what was received.',
    () => counts.failing,
  )
  gauge('behind', 'Entries of the ledger that were not looked at yet for tests to compare.', () => counts.behind)
}

/** `tableBytes` far above `cellBytes` is bloat: vacuum doesn't keep up with the fold. */
export function measureStatistics(
  registry: Registry,
  counts: {
    readonly waiting: number
    readonly folded: number
    readonly failures: number
    readonly tableBytes: number
    readonly cellBytes: number
  },
): void {
  const gauge = gaugesOf(registry, 'statistics')
  gauge('rows_waiting', 'Rows of tests that are not in the cells of statistics yet.', () => counts.waiting)
  gauge('rows_folded', 'Rows brought into cells by this process since it started.', () => counts.folded)
  gauge('fold_failures', 'Steps of the fold that failed in this process.', () => counts.failures)
  gauge('table_bytes', 'Size of the table of cells with all that vacuum has not taken back.', () => counts.tableBytes)
  gauge('cell_bytes', 'Bytes of the cells themselves.', () => counts.cellBytes)
}

/** Figures are collected all at once: those who ask while one asks share the answer. */
function sharing<T>(ask: () => Promise<T>): () => Promise<T> {
  let asking: Promise<T> | undefined
  return () => {
    asking ??= ask().finally(() => {
      asking = undefined
    })
    return asking
  }
}

export interface MetricsServer {
  readonly url: string
  close(): Promise<void>
}

/** Serves the registry, and the process's own figures, at `/metrics`. Throws if the port is taken. */
export async function serveMetrics(registry: Registry, host: string, port: number): Promise<MetricsServer> {
  const server: Server = createServer((request, response) => {
    if (request.method !== 'GET' || request.url !== '/metrics') {
      response.writeHead(404).end()
      return
    }
    registry.metrics().then(
      (text) => response.writeHead(200, { 'content-type': registry.contentType }).end(text),
      () => response.writeHead(500).end(),
    )
  })
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, host, resolve)
  })
  collectDefaultMetrics({ register: registry })
  const { port: taken } = server.address() as AddressInfo
  return {
    url: `http://${host}:${taken}/metrics`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}
