import { expect, test } from 'vitest'
import { redacting } from './log.ts'
import { json, problem, requesterOn, serve } from './testing.ts'

const KEY = 'llk_demo_ABCDEFGHJKMN_0123456789abcdefghijABCDEFGHIJ01234567'

/** A logger that keeps its lines. */
function keeping() {
  const lines: string[] = []
  const keep = (message: string, details?: object) => void lines.push(`${message} ${JSON.stringify(details)}`)
  return { lines, logger: redacting({ debug: keep, warn: keep }) }
}

test('a key keeps its name and loses its secret, wherever it stands', () => {
  const { lines, logger } = keeping()
  logger.warn(`called with ${KEY}`, {
    url: `http://x/?key=${KEY}`,
    headers: { authorization: 'Bearer eyJhbGciOi.x.y' },
    status: 401,
  })
  expect(lines).toEqual([
    'called with llk_demo_ABCDEFGHJKMN_[redacted] {"url":"http://x/?key=llk_demo_ABCDEFGHJKMN_[redacted]","headers":{"authorization":"Bearer [redacted]"},"status":401}',
  ])
})

test('each answer and each wait is told, without key and body', async () => {
  const { lines, logger } = keeping()
  const service = await serve(problem(503, 'overloaded'), json(201, { secret: KEY }, { 'x-request-id': 'req-2' }))
  const call = {
    operation: 'tests.submit',
    method: 'POST',
    path: '/v1/tests',
    body: { plant: 'P1' },
    repeat: 'keyed',
  } as const
  await requesterOn(service, { apiKey: KEY, logger }).send(call)
  expect(lines).toHaveLength(2)
  expect(lines[0]).toMatch(/^tests\.submit: again in 500 ms .*503 overloaded/)
  expect(lines[1]).toMatch(/^tests\.submit: POST http.*\/v1\/tests .*"status":201,"requestId":"req-2"/)
  expect(lines.join()).not.toMatch(/0123456789abc|P1/)
})
