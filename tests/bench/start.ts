/** `start.cold`: from the start of the process to its first answer, with the database up and migrated. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { request } from 'node:http'
import { setTimeout as sleep } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import { alternate, type Figure, spreadOf, tell } from './rounds.ts'
import { freePort, freshDatabase, SERVICE_SETTINGS } from './servers.ts'

const MAIN = fileURLToPath(new URL('../../packages/service/src/main.ts', import.meta.url))
const PATIENCE_MS = 30_000
const BETWEEN_ASKS_MS = 4

/** Whether the service says that it is ready. */
function ready(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    request({ host: '127.0.0.1', port, path: '/health/ready', agent: false }, (response) => {
      response.resume()
      resolve(response.statusCode === 200)
    })
      .on('error', () => resolve(false))
      .end()
  })
}

/** Seconds from the start of a process to its first answer; then it is told to stop. */
async function startOnce(databaseUrl: string, environment: Readonly<Record<string, string>>): Promise<number> {
  const port = await freePort()
  const env = { ...process.env, ...SERVICE_SETTINGS, ...environment, DATABASE_URL: databaseUrl, PORT: String(port) }
  const started = performance.now()
  const child = spawn(process.execPath, [MAIN], { env, stdio: ['ignore', 'ignore', 'inherit'] })
  const ended = once(child, 'exit')
  try {
    while (!(await ready(port))) {
      if (child.exitCode !== null) throw new Error(`The service ended with ${child.exitCode} before it answered.`)
      if (performance.now() - started > PATIENCE_MS) throw new Error(`No answer within ${PATIENCE_MS} ms.`)
      await sleep(BETWEEN_ASKS_MS)
    }
    return (performance.now() - started) / 1000
  } finally {
    child.kill('SIGTERM')
    await ended
  }
}

export async function startCold(quick: boolean): Promise<Figure[]> {
  const url = await freshDatabase()
  // The first start migrates and fills the compile cache.
  await startOnce(url, {})
  const [cached, uncached] = await alternate([
    () => startOnce(url, {}),
    // Tells what the cache is worth, which a quick run can do without.
    ...(quick ? [] : [() => startOnce(url, { NODE_DISABLE_COMPILE_CACHE: '1' })]),
  ])
  const figure = { id: 'start.cold', unit: 's', goal: 1, better: 'lower' } as const
  const first = { ...figure, id: 'start.cold.without-compile-cache', goal: null } as const
  tell(figure, spreadOf(cached!), [
    `start of the process to its first answer of /health/ready, database up and migrated, compile cache filled; ${cached!.length} starts`,
  ])
  if (uncached === undefined) return [{ ...figure, value: spreadOf(cached!).median }]
  tell(first, spreadOf(uncached), [`the same without the compile cache of Node: every file is stripped and compiled`])
  return [
    { ...figure, value: spreadOf(cached!).median },
    { ...first, value: spreadOf(uncached).median },
  ]
}
