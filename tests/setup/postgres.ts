/**
 * A Postgres for the tests of one run, with one migrated template to clone: the server named by
 * TEST_DATABASE_URL (a superuser's, of a server for tests only), else a container where Docker answers, else the embedded one.
 */
import { randomBytes } from 'node:crypto'
import { mkdtemp } from 'node:fs/promises'
import { request } from 'node:http'
import { tmpdir } from 'node:os'
import path from 'node:path'
import pg from 'pg'
import { pino } from 'pino'
import type { TestProject } from 'vitest/node'
import { startEmbedded } from '../../packages/service/src/db/embedded.ts'
import { migrate } from '../../packages/service/src/db/migrate.ts'

declare module 'vitest' {
  interface ProvidedContext {
    /** URL of a superuser. */
    adminUrl: string
    /** Name of the migrated database that `cloneDatabase` copies. */
    templateName: string
  }
}

interface Server {
  readonly adminUrl: string
  stop(): Promise<void>
}
interface Prepared extends Server {
  readonly templateName: string
}

/** Projects of one run share the server; each project loads this file anew, so it is kept with the process. */
const shared = globalThis as typeof globalThis & { liftledgerPostgres?: { users: number; prepared: Promise<Prepared> } }

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  shared.liftledgerPostgres ??= { users: 0, prepared: prepare() }
  const entry = shared.liftledgerPostgres
  entry.users += 1
  const { adminUrl, templateName, stop } = await entry.prepared
  project.provide('adminUrl', adminUrl)
  project.provide('templateName', templateName)
  return async () => {
    entry.users -= 1
    if (entry.users > 0) return
    delete shared.liftledgerPostgres
    await stop()
  }
}

async function prepare(): Promise<Prepared> {
  const server = await startServer()
  const templateName = `ll_test_${process.pid}_${randomBytes(3).toString('hex')}`
  await asAdmin(server.adminUrl, (client) =>
    client.query(`create database ${templateName} template template0 encoding 'UTF8' lc_collate 'C' lc_ctype 'C'`),
  )
  const url = new URL(server.adminUrl)
  url.pathname = templateName
  await migrate(url.href, pino({ level: 'silent' }))
  return {
    adminUrl: server.adminUrl,
    templateName,
    async stop() {
      await dropAll(server.adminUrl, templateName)
      await server.stop()
    },
  }
}

/** The template, and clones that a broken test left. */
async function dropAll(adminUrl: string, templateName: string): Promise<void> {
  await asAdmin(adminUrl, async (client) => {
    const { rows } = await client.query<{ datname: string }>(
      'select datname from pg_database where starts_with(datname, $1)',
      [templateName],
    )
    for (const { datname } of rows) await client.query(`drop database if exists ${datname} with (force)`)
  })
}

async function asAdmin(adminUrl: string, fn: (client: pg.Client) => Promise<unknown>): Promise<void> {
  const client = new pg.Client(adminUrl)
  await client.connect()
  try {
    await fn(client)
  } finally {
    await client.end()
  }
}

async function startServer(): Promise<Server> {
  const given = process.env.TEST_DATABASE_URL
  if (given) return { adminUrl: given, stop: async () => undefined }
  return (await dockerAnswers()) ? startContainer() : startOwn()
}

/** Data is thrown away after the run, so the server need not wait for the disk. */
const IN_HASTE = { fsync: 'off', max_connections: '300' }

async function startOwn(): Promise<Server> {
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-test-'))
  const { url, stop } = await startEmbedded({ directory, persistent: false, settings: IN_HASTE })
  return { adminUrl: url, stop }
}

/** Loaded only where there is Docker: it is large. */
async function startContainer(): Promise<Server> {
  const { GenericContainer, Wait } = await import('testcontainers')
  const password = randomBytes(12).toString('hex')
  const container = await new GenericContainer('postgres:18')
    .withEnvironment({ POSTGRES_PASSWORD: password })
    .withCommand(['postgres', ...Object.entries(IN_HASTE).flatMap(([name, value]) => ['-c', `${name}=${value}`])])
    .withExposedPorts(5432)
    // Once while the image initialises its cluster, once for good.
    .withWaitStrategy(Wait.forLogMessage(/database system is ready to accept connections/, 2))
    .start()
  return {
    adminUrl: `postgres://postgres:${password}@${container.getHost()}:${container.getMappedPort(5432)}/postgres`,
    stop: async () => {
      await container.stop()
    },
  }
}

const DOCKER_PATIENCE_MS = 500

/** Asks the engine's socket, or the address in DOCKER_HOST, whether it is alive. */
async function dockerAnswers(): Promise<boolean> {
  const host = new URL(process.env.DOCKER_HOST ?? 'unix:///var/run/docker.sock')
  const where =
    host.protocol === 'unix:' ? { socketPath: host.pathname } : { host: host.hostname, port: Number(host.port || 2375) }
  return new Promise((resolve) => {
    const ping = request({ ...where, path: '/_ping', timeout: DOCKER_PATIENCE_MS }, (response) => {
      response.resume()
      resolve(response.statusCode === 200)
    })
    ping.on('timeout', () => ping.destroy())
    ping.on('error', () => resolve(false))
    ping.end()
  })
}
