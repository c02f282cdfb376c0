/** `start.cold`: from the start of the process to its first answer, with the database up and migrated. */
import { spawn } from 'node:child_process'
import { mkdtempSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { startEmbedded } from '@liftledger/service/embedded'
import { type Figure, spreadOf, tell } from './rounds.ts'

const STARTS = 5
const MAIN = fileURLToPath(new URL('../../packages/service/src/main.ts', import.meta.url))

function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const probe = createServer().listen(0, '127.0.0.1', () => {
      const { port } = probe.address() as { port: number }
      probe.close(() => resolve(port))
    })
  })
}

/** Seconds from the start to the first answer. */
async function startOnce(databaseUrl: string): Promise<number> {
  const port = await freePort()
  const started = performance.now()
  const child = spawn(process.execPath, [MAIN], {
    env: {
      ...process.env,
      DATABASE_URL: databaseUrl,
      KEY_PEPPER: 'a pepper for the bench, of 32 characters or more',
      PORT: String(port),
      METRICS_PORT: '0',
      LOG_LEVEL: 'error',
    },
    stdio: ['ignore', 'ignore', 'inherit'],
  })
  const ended = new Promise((resolve) => child.once('exit', resolve))
  try {
    for (;;) {
      const answered = await fetch(`http://127.0.0.1:${port}/health/ready`).then(
        ({ ok }) => ok,
        () => false,
      )
      if (answered) return (performance.now() - started) / 1000
      if (performance.now() - started > 30_000 || child.exitCode !== null) throw new Error('The service did not start.')
      await new Promise((resolve) => setTimeout(resolve, 5))
    }
  } finally {
    child.kill('SIGTERM')
    await ended
  }
}

export async function startCold(): Promise<Figure[]> {
  const database = await startEmbedded({
    directory: mkdtempSync(join(tmpdir(), 'liftledger-bench-')),
    persistent: false,
  })
  try {
    // The first start migrates and fills the compile cache.
    await startOnce(database.url)
    const seconds: number[] = []
    for (let i = 0; i < STARTS; i++) seconds.push(await startOnce(database.url))
    const figure = { id: 'start.cold', unit: 's', goal: 1, better: 'lower' } as const
    const spread = spreadOf(seconds)
    tell(
      figure,
      spread,
      `process start to first answer of /health/ready, database up and migrated, compile cache filled; ${STARTS} starts`,
    )
    return [{ ...figure, value: spread.median }]
  } finally {
    await database.stop()
  }
}
