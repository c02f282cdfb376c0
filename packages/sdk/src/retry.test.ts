import { describe, expect, test } from 'vitest'
import { ApiError, ConnectionError, LiftledgerError } from './errors.ts'
import { mayRepeat, retryAfterMs, waitMs } from './retry.ts'

const circumstances = { operation: 'tests.submit', tries: 1 }
const NOW = Date.UTC(2026, 4, 12, 8)

const answered = (status: number, headers: Record<string, string> = {}, body?: unknown) =>
  new ApiError({ status, headers: new Headers(headers), body, problem: body as never }, circumstances)

describe('waiting before the next try', () => {
  test('takes a random part of a span that doubles, so that clients cut off together come back apart', () => {
    const lost = new ConnectionError('cut', circumstances)
    expect([1, 2, 3].map((tries) => waitMs(lost, tries, 0.25, NOW))).toEqual([125, 250, 500])
    expect(waitMs(lost, 1, 0, NOW)).toBe(0)
    expect(waitMs(lost, 50, 1, NOW)).toBe(8_000)
  })

  test('is never shorter than asked, and believes the problem document where the header can’t be seen', () => {
    expect(waitMs(answered(429, { 'retry-after': '3' }), 1, 1, NOW)).toBe(3_000)
    expect(waitMs(answered(429, { 'retry-after': '0' }), 3, 1, NOW)).toBe(2_000)
    expect(waitMs(answered(429, {}, { retryAfterS: 4 }), 1, 1, NOW)).toBe(4_000)
    expect(waitMs(answered(503, { 'retry-after': '60' }), 1, 1, NOW)).toBe(60_000)
    expect(waitMs(answered(503, { 'retry-after': '61' }), 1, 1, NOW)).toBeUndefined()
  })
})

/** Forms of the field: RFC 9110, section 10.2.3 (delay-seconds, HTTP-date). */
test.each([
  ['120', 120_000],
  ['Tue, 12 May 2026 08:00:05 GMT', 5_000],
  ['Tuesday, 12-May-26 08:00:05 GMT', 5_000],
  ['Tue May 12 08:00:05 2026 GMT', 5_000],
  ['Tue, 12 May 2026 07:00:00 GMT', 0],
  ['-5', undefined],
  ['1.5', undefined],
  ['soon', undefined],
  ['', undefined],
])('Retry-After %j is %j ms', (header, expected) => {
  expect(retryAfterMs(header, NOW)).toBe(expected)
})

test.each([
  { when: 'the service did nothing', error: answered(503), safe: true, keyed: true, unkeyed: true },
  { when: 'the limit is reached', error: answered(429), safe: true, keyed: true, unkeyed: true },
  { when: 'the request was too slow', error: answered(408), safe: true, keyed: true, unkeyed: true },
  { when: 'a gateway lost it', error: answered(502), safe: true, keyed: true, unkeyed: false },
  { when: 'a gateway gave up', error: answered(504), safe: true, keyed: true, unkeyed: false },
  {
    when: 'the connection failed',
    error: new ConnectionError('cut', circumstances),
    safe: true,
    keyed: true,
    unkeyed: false,
  },
  { when: 'the service failed', error: answered(500), safe: false, keyed: true, unkeyed: false },
  { when: 'the request is wrong', error: answered(400), safe: false, keyed: false, unkeyed: false },
  {
    when: 'it was ended',
    error: new LiftledgerError('ended', circumstances),
    safe: false,
    keyed: false,
    unkeyed: false,
  },
])('when $when: safe $safe, keyed $keyed, unkeyed $unkeyed', ({ error, safe, keyed, unkeyed }) => {
  expect([mayRepeat(error, 'safe'), mayRepeat(error, 'keyed'), mayRepeat(error, 'unkeyed')]).toEqual([
    safe,
    keyed,
    unkeyed,
  ])
})
