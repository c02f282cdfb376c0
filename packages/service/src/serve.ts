/** The process: settings, database, migrations, listening, and an end without loss. */
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import type { FastifyInstance } from 'fastify'
import type { Logger } from 'pino'
import { buildApp } from './app.ts'
import { loadConfig } from './config.ts'
import { openDatabases } from './db/database.ts'
import { DEVELOPMENT_DIRECTORY, startEmbedded } from './db/embedded.ts'
import { migrate } from './db/migrate.ts'
import type { Deps } from './deps.ts'
import { keepDocuments } from './evaluation-documents/run.ts'
import { uuidMaker } from './http/ids.ts'
import { newSalt } from './http/random.ts'
import { makeLog } from './log.ts'
import { closeHours } from './read-log/run.ts'
import { compareWithRecord } from './record-findings/run.ts'
import { publishStatistics } from './statistics/published/run.ts'
import { foldStatistics } from './statistics/run.ts'

export interface ServiceOptions {
  /** Settings by the name of their variable; they win over the environment. */
  readonly environment?: Readonly<Record<string, string | undefined>>
  /** Folder of the embedded Postgres, used where no DATABASE_URL is given. */
  readonly directory?: string
  readonly log?: Logger
}

export interface Service {
  readonly url: string
  readonly app: FastifyInstance
  readonly deps: Deps
  /** From the start of the process to the moment it listens, in ms. */
  readonly startedInMs: number
  /** Lets requests under way end, then closes the database. May be called more than once. */
  stop(): Promise<void>
}

/** How long a load balancer may take to notice, and how long the whole end may take. */
const DRAIN_MS = 2_000
const STOP_MS_MAX = 15_000

/** Starts the service: on DATABASE_URL, or on the embedded Postgres where none is given. */
export async function startService(options: ServiceOptions = {}): Promise<Service> {
  const environment = { ...process.env, ...options.environment }
  const config = { ...loadConfig(environment) }
  const log = options.log ?? makeLog(config.logLevel)
  // Ends what was opened, the last first.
  const closers: (() => Promise<void>)[] = []
  const close = async (): Promise<void> => {
    for (const closer of closers.splice(0).toReversed()) await closer()
  }
  try {
    const directory = options.directory ?? DEVELOPMENT_DIRECTORY
    const url = config.databaseUrl ?? (await embedded(directory, log, closers))
    // The key that is made for an embedded database goes where that goes.
    if (config.databaseUrl === undefined && 'made' in config.ledger.signingKey) {
      config.ledger = { ...config.ledger, signingKey: { made: join(directory, 'ledger-signing-key.pem') } }
    }
    if (config.migrate) await migrate(url, log)
    const databases = await openDatabases(url, { production: config.production, log })
    closers.push(() => databases.close())
    const deps: Deps = {
      config,
      databases,
      log,
      now: () => new Date(),
      newId: uuidMaker(Date.now),
      newSalt,
    }
    const app = await buildApp(deps)
    closers.push(() => app.close())
    const hours = closeHours(deps)
    closers.push(() => hours.stop())
    const folding = foldStatistics(deps)
    closers.push(() => folding.stop())
    const publishing = publishStatistics(deps, url)
    closers.push(() => publishing.stop())
    const documents = config.keepDocuments ? keepDocuments(deps) : undefined
    if (documents !== undefined) closers.push(() => documents.stop())
    const comparing = config.compareWithRecord ? compareWithRecord({ ...deps, ledger: app.ledger }) : undefined
    if (comparing !== undefined) closers.push(() => comparing.stop())
    if (config.metrics !== undefined && app.metrics !== undefined) {
      const { measureComparisons, measureDocuments, measureStatistics, serveMetrics } = await import(
        './http/metrics.ts'
      )
      if (documents !== undefined) measureDocuments(app.metrics, documents.keeper.counts)
      if (comparing !== undefined) measureComparisons(app.metrics, comparing.comparer.counts)
      measureStatistics(app.metrics, folding.counts)
      const metrics = await serveMetrics(app.metrics, config.metrics.host, config.metrics.port)
      closers.push(() => metrics.close())
      log.info({ url: metrics.url }, 'metrics')
    }
    await app.listen({
      host: config.host,
      port: config.port,
      listenTextResolver: (address) => `socket open at ${address}`,
    })
    const address = addressOf(app)
    // A free port is known only now, and problems carry the address.
    if (!environment.PUBLIC_URL) config.publicUrl = address
    const startedInMs = Math.round(performance.now())
    log.info({ url: address, startedInMs }, 'listening')
    return { url: address, app, deps, startedInMs, stop: stopper(app, deps, close) }
  } catch (error) {
    await close()
    throw error
  }
}

async function embedded(directory: string, log: Logger, closers: (() => Promise<void>)[]): Promise<string> {
  const { url, stop } = await startEmbedded({ directory, log })
  closers.push(stop)
  return url
}

function addressOf(app: FastifyInstance): string {
  const { address, port, family } = app.server.address() as AddressInfo
  return `http://${family === 'IPv6' ? `[${address}]` : address}:${port}`
}

function stopper(app: FastifyInstance, { config, log }: Deps, close: () => Promise<void>): () => Promise<void> {
  let stopped: Promise<void> | undefined
  const stop = async (): Promise<void> => {
    app.lifecycle.stopping = true
    // Load balancers need a moment to see that this process is no longer ready.
    if (config.production) await sleep(DRAIN_MS)
    await close()
    log.info('stopped')
  }
  return () => {
    stopped ??= stop()
    return stopped
  }
}

/** Runs the service until it is told to stop: SIGTERM or Ctrl-C drains and exits 0, a second signal exits 1. */
export async function runService(): Promise<void> {
  const service = await startService()
  const { log } = service.deps
  const stop = (signal: NodeJS.Signals): void => {
    if (service.app.lifecycle.stopping) process.exit(1)
    log.info({ signal }, 'stopping')
    setTimeout(() => process.exit(1), STOP_MS_MAX).unref()
    service.stop().then(
      () => process.exit(0),
      (error: unknown) => {
        log.error({ err: error }, 'did not stop cleanly')
        process.exit(1)
      },
    )
  }
  process.on('SIGTERM', stop).on('SIGINT', stop)
  process.on('uncaughtException', (error) => {
    // What is in memory can't be trusted any more; what was answered is in the database.
    log.fatal({ err: error }, 'uncaught')
    process.exit(1)
  })
}
