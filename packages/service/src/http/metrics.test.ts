import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { type MetricsServer, serveMetrics } from './metrics.ts'

let service: TestService
let metrics: MetricsServer
beforeAll(async () => {
  // The port of the settings is the process's to open; here it is any free one.
  service = await startTestService({ METRICS_PORT: '9090', IN_FLIGHT_MAX: '7', RATE_PER_MINUTE: '60' })
  metrics = await serveMetrics(service.app.metrics!, '127.0.0.1', 0)
  await registerContext(service, 'firmA')
})
afterAll(async () => {
  await metrics.close()
  await service.close()
})

const figures = async (): Promise<string> => (await fetch(metrics.url)).text()
/** Value of the one line that begins so. */
async function figure(line: string): Promise<number> {
  const found = (await figures()).split('\n').filter((text) => text.startsWith(`${line} `))
  expect(found, line).toHaveLength(1)
  return Number(found[0]!.slice(line.length + 1))
}

describe('metrics', () => {
  test('count each request by method, template and class of status', async () => {
    const line = (status: string) =>
      `liftledger_request_seconds_count{method="GET",route="/v1/plants/:plantId",status="${status}"}`
    await service.call('firmA', 'GET /v1/plants/plt_00000000000000000000000000')
    await service.call('firmA', 'GET /v1/plants/plt_00000000000000000000000001?x=1')
    expect(await figure(line('4xx'))).toBe(2)
    await service.call('firmA', 'POST /v1/tests', { body: visitSheet })
    expect(
      await figure('liftledger_request_seconds_bucket{le="10",method="POST",route="/v1/tests",status="2xx"}'),
    ).toBe(1)
  })

  test('count the batches in which submissions are stored', async () => {
    await service.call('firmA', 'POST /v1/tests', { body: visitSheet })
    const batches = await figure('liftledger_batch_submissions_count')
    expect(batches).toBeGreaterThan(0)
    expect(await figure('liftledger_batch_submissions_sum')).toBe(batches)
    expect(await figure('liftledger_commit_seconds_count')).toBe(batches)
  })

  test('count problems by code, those without work too', async () => {
    const before = await figures()
    expect(before).not.toContain('code="rate-limited"')
    for (let n = 0; n < 61; n++) await service.call('program', 'GET /v1/firms')
    expect(await figure('liftledger_problems_total{code="rate-limited"}')).toBe(1)
    expect(await figure('liftledger_problems_total{code="forbidden"}')).toBe(60)
  })

  test('ask the database, the pools, the event loop and the gate to sheets', async () => {
    expect(await figure('liftledger_database_up')).toBe(1)
    expect(await figure('liftledger_database_ping_seconds')).toBeLessThan(1)
    expect(await figure('liftledger_pool_connections{role="ll_firm",state="open"}')).toBeGreaterThan(0)
    expect(await figure('liftledger_pool_connections{role="ll_firm",state="waiting"}')).toBe(0)
    expect(await figure('liftledger_sheets_in_flight')).toBe(0)
    expect(await figure('liftledger_event_loop_delay_seconds')).toBeGreaterThanOrEqual(0)
    expect(await figure('liftledger_queue_age_seconds')).toBe(0)
    expect(await figures()).toContain('process_resident_memory_bytes')
  })

  test('have no label that a caller chose', async () => {
    const call = (method: string, url: string) =>
      service.app.inject({ method: method as 'GET', url, headers: { 'x-request-id': 'planted-1234' } })
    await call('GET', '/v1/planted/1')
    await call('GET', '/v1/plants/planted')
    await call('PROPFIND', '/v1/planted')
    await call('TRACE', '/v1/planted')
    const text = await figures()
    expect(text).not.toContain('planted')
    expect(text).toContain('method="other",route="(none)",status="4xx"')
    expect(text).not.toContain(service.keys.firmA.split('_')[2])
  })

  test('are at one address only, and not on the port of the service', async () => {
    expect((await fetch(metrics.url.replace('/metrics', '/'))).status).toBe(404)
    expect((await fetch(metrics.url, { method: 'POST' })).status).toBe(404)
    expect((await service.call('nobody', 'GET /metrics')).status).toBe(404)
  })

  test('are off where nobody wants them', async () => {
    const without = await startTestService()
    expect(without.app).not.toHaveProperty('metrics')
    await without.close()
  })

  test('say when their port is taken', async () => {
    const port = Number(new URL(metrics.url).port)
    await expect(serveMetrics(service.app.metrics!, '127.0.0.1', port)).rejects.toThrow(/EADDRINUSE/)
  })
})
