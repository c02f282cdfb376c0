import { pino } from 'pino'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { putInForce } from './key-record.ts'
import { keyOf } from './testing.ts'

let database: ClonedDatabase
let databases: Databases
beforeEach(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
})
afterEach(async () => {
  await databases.close()
  await database.drop()
})

const begin = (settings: Parameters<typeof putInForce>[1]['settings']) =>
  putInForce(databases.integrator, { settings, current: keyOf(1) }, () => new Date('2026-05-12T17:00:00.000Z'))

test('a log begins with neither a key before it nor one that is lost', async () => {
  const { signers, ...done } = await begin({ originToBeginWith: 'tests.example' })
  expect(signers.origin).toBe('tests.example')
  expect(done).toEqual({ begun: true })
})

test('a log without a name does not begin; one that has begun needs none', async () => {
  const refusal = await begin({}).catch((error: Error) => error)
  expect(refusal).toMatchObject({ name: 'ConfigError', message: expect.stringMatching(/- LEDGER_ORIGIN is missing/) })
  await begin({ origin: 'localhost:8080' })
  expect(await begin({})).toMatchObject({ begun: false, signers: { origin: 'localhost:8080' } })
})
