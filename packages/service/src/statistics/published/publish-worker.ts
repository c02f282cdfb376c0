/**
 * A thread of its own for one publication: its linear programs take seconds, in which requests must be answered.
 * Told where the database is and which month; answers what was made, or that nothing was.
 */
import { parentPort, workerData } from 'node:worker_threads'
import { pino } from 'pino'
import { openDatabases } from '../../db/database.ts'
import { type MonthToPublish, publishMonth } from './publish.ts'

export interface PublishTask {
  readonly url: string
  readonly production: boolean
  readonly asked: MonthToPublish
}

const { url, production, asked } = workerData as PublishTask
const databases = await openDatabases(url, { production, log: pino({ level: 'silent' }) })
try {
  parentPort!.postMessage(await publishMonth(databases.statistics, asked))
} finally {
  await databases.close()
}
