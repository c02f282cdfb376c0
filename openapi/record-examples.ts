/** The API description of a scratch service, and the examples played on it. */
import { createHash } from 'node:crypto'
import { createKey } from '../packages/service/src/access/create-key.ts'
import { buildApp } from '../packages/service/src/app.ts'
import { loadConfig } from '../packages/service/src/config.ts'
import { openDatabases } from '../packages/service/src/db/database.ts'
import type { Deps } from '../packages/service/src/deps.ts'
import { makeLog } from '../packages/service/src/log.ts'
import { RecordComparer } from '../packages/service/src/record-findings/compare.ts'
import { publishMonth } from '../packages/service/src/statistics/published/publish.ts'
import { playExamples } from './example-world.ts'
import { type ExampleFile, exampleFiles } from './examples.ts'
import { type Json, Recorder } from './recorder.ts'

/** A key known to everyone, so that the same play gives the same signatures; it signs nothing but examples. */
const LEDGER = {
  LEDGER_ORIGIN: 'tests.example.org',
  LEDGER_SIGNING_KEY: Buffer.from(`302e020100300506032b657004220420${'e7'.repeat(32)}`, 'hex').toString('base64'),
}

/** The afternoon of the visit that is submitted. */
const BEGIN = Date.UTC(2026, 4, 12, 17)
const STEP_MS = 60_000

/**
 * @param url of a migrated database that holds nothing yet
 */
export async function recordExamples(url: string): Promise<{ document: Json; files: Map<string, ExampleFile> }> {
  const log = makeLog('silent')
  const databases = await openDatabases(url, { production: false, log })
  let atMs = BEGIN
  const deps: Deps = {
    databases,
    // However slow the machine is, the play is not interrupted.
    config: {
      ...loadConfig({ EVENT_LOOP_DELAY_MS_MAX: '0', QUEUE_AGE_MS_MAX: '0', ...LEDGER }),
      publicUrl: 'https://tests.example.org',
    },
    log,
    now: () => new Date(atMs),
    newId: countedIds(() => atMs),
    newSalt: countedSalts(),
  }
  const app = await buildApp(deps)
  try {
    const document = await app.apiDocument()
    const recorder = new Recorder(app, document, () => {
      atMs += STEP_MS
    })
    const { key } = await createKey(deps, { role: 'admin', name: 'Administrator' })
    recorder.meet(key)
    await playExamples(recorder, key, {
      settle: () => app.ledger.settle(),
      async publish(month) {
        const [year, number] = month.split('-').map(Number)
        const end = new Date(Date.UTC(year!, number!, 1))
        await publishMonth(databases.statistics, { month, end, at: end })
      },
      async compare() {
        const comparer = new RecordComparer({ ...deps, ledger: app.ledger })
        while (await comparer.step());
      },
    })
    return { document, files: exampleFiles(recorder.records()) }
  } finally {
    await app.close()
    await databases.close()
  }
}

/** A count, hashed, where others have chance. */
function countedSalts(): () => Buffer {
  let count = 0
  return () => {
    count += 1
    return createHash('sha256').update(`salt ${count} of the examples`).digest().subarray(0, 16)
  }
}

/** UUIDv7s with a count where others have chance. */
function countedIds(now: () => number): () => string {
  let count = 0
  return () => {
    count += 1
    const time = now().toString(16).padStart(12, '0')
    return `${time.slice(0, 8)}-${time.slice(8)}-7000-8000-${count.toString(16).padStart(12, '0')}`
  }
}
