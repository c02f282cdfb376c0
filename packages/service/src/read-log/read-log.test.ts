/** Who read what, as firms, programs and auditors are told it. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'

interface Row {
  readonly operation: string
  readonly role: string
  readonly test?: string
}

let service: TestService
let testId: string

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const call = { body: visitSheet, headers: { 'idempotency-key': '"reads"' } }
  testId = (await service.call<{ id: string }>('firmA', 'POST /v1/tests', call)).body.id
})
afterAll(() => service.close())

test('x', async () => {
  expect(await service.call('auditor', `GET /v1/tests/${testId}`)).toMatchObject({ status: 200 })
})
test('y', () => {
  console.log(service.log.slice(-3).join('\n'))
})
