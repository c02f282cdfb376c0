/** Who reads the ledger without a key: many at once wait for each other, and nobody else for them. */
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

test('while the connections for readers are all taken, tests are stored and signed', async () => {
  const { ledgerReads } = service.deps.databases
  const taken = await Promise.all(Array.from({ length: ledgerReads.options.max! }, () => ledgerReads.connect()))
  const reading = Array.from({ length: 80 }, () => service.call('nobody', 'GET /v1/ledger/checkpoint?size=1'))
  const stored = await service.call('firmA', 'POST /v1/tests', { body: visitSheet })
  expect(stored.status).toBe(201)
  await service.app.ledger.settle()
  expect((await service.call('nobody', 'GET /health/ready')).status).toBe(200)

  for (const client of taken) client.release()
  const statuses = (await Promise.all(reading)).map(({ status }) => status)
  // So many at once are taken; the others are told to come again.
  expect(statuses.filter((status) => status === 200)).toHaveLength(64)
  expect(statuses.filter((status) => status === 503)).toHaveLength(16)
  expect((await service.call('nobody', 'GET /v1/ledger/checkpoint')).status).toBe(200)
})
