/** A Postgres of its own with the invented basin, one or two services and a client; each case gets a new one. */
import { mkdtempSync } from 'node:fs'
import { rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { startService } from '@liftledger/service'
import pg from 'pg'
import { pino } from 'pino'
import { seedBasin } from '../../seed/seed.ts'
import { freePort } from '../bench/servers.ts'
import { type CuttingProxy, startCuttingProxy } from '../setup/cutting-proxy.ts'
import { check, type Verdict } from './check.ts'
import type { Progress } from './load.ts'
import { ClientProcess, PostgresServer, SERVICE_SETTINGS, ServiceProcess } from './processes.ts'

export const CONNECTIONS = 32
/** Bounds the disk that a case takes, should a machine be that fast. */
const SUBMISSIONS_MAX = 300_000
const PATIENCE_MS = 60_000

export interface World {
  readonly postgres: PostgresServer
  readonly services: readonly ServiceProcess[]
  readonly client: ClientProcess
  /** Between services and Postgres, where the case asked for one. */
  readonly proxy: CuttingProxy | undefined
}

export interface Outcome {
  readonly progress: Progress
  readonly verdict: Verdict
}

/** Lets `tortures` have its way under load, then lets the client find out what it doesn't know, and checks everything. */
export async function inWorld(
  { services: count, withProxy }: { services: number; withProxy: boolean },
  tortures: (world: World) => Promise<void>,
): Promise<Outcome> {
  const folder = mkdtempSync(join(tmpdir(), 'liftledger-torture-'))
  const postgres = new PostgresServer(join(folder, 'postgres'))
  const services: ServiceProcess[] = []
  let proxy: CuttingProxy | undefined
  let client: ClientProcess | undefined
  try {
    const url = await postgres.start()
    const apiKey = await seed(url)
    if (withProxy) proxy = await startCuttingProxy({ host: '127.0.0.1', port: Number(new URL(url).port) })
    const seenUrl = new URL(url)
    if (proxy !== undefined) seenUrl.port = String(proxy.port)
    for (let i = 0; i < count; i++) services.push(new ServiceProcess(seenUrl.href, await freePort()))
    for (const service of services) await service.start()
    const journal = join(folder, 'journal.ndjson')
    client = new ClientProcess({
      urls: services.map((service) => service.url),
      apiKey,
      journal,
      connections: CONNECTIONS,
      submissionsMax: SUBMISSIONS_MAX,
    })
    await client.untilMoreIsStored(PATIENCE_MS)
    await tortures({ postgres, services, client, proxy })
    const progress = await client.finish()
    return { progress, verdict: await asSuperuser(url, (superuser) => check(superuser, journal)) }
  } finally {
    client?.stop()
    for (const service of services) await service.stop()
    await proxy?.close()
    await postgres.remove()
    await rm(folder, { recursive: true, force: true })
  }
}

async function asSuperuser<T>(url: string, fn: (client: pg.Client) => Promise<T>): Promise<T> {
  const superuser = new pg.Client(url)
  await superuser.connect()
  try {
    return await fn(superuser)
  } finally {
    await superuser.end()
  }
}

/** Migrates, registers the basin, and answers the key of a firm. */
async function seed(url: string): Promise<string> {
  const service = await startService({
    environment: { ...SERVICE_SETTINGS, DATABASE_URL: url, PORT: '0', METRICS_PORT: '0' },
    log: pino({ level: 'silent' }),
  })
  try {
    return (await seedBasin(service)).firms[0]!.key
  } finally {
    await service.stop()
  }
}
