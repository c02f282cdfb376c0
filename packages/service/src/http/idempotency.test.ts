import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { fingerprint, InFlight, idempotencyKey } from './idempotency.ts'

describe('the Idempotency-Key field', () => {
  test.each([
    ['"01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10"', '01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10'],
    ['01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10', '01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10'],
    ['  "a b"  ', 'a b'],
    ['"a\\"b\\\\c"', 'a"b\\c'],
    ['visit:7_A.b', 'visit:7_A.b'],
  ])('%s is the key %s', (field, key) => {
    expect(idempotencyKey(field)).toBe(key)
  })

  test.each([
    '',
    '""',
    '"a',
    'a"',
    'a b',
    '"a";p=1',
    '"ä"',
    '"a\\n"',
    'x'.repeat(129),
    `"${'x'.repeat(129)}"`,
    '"a", "b"',
  ])('%j is refused', (field) => {
    expect(() => idempotencyKey(field)).toThrow(expect.objectContaining({ code: 'invalid-request' }))
  })

  test('sent twice is refused, not sent is no key', () => {
    expect(() => idempotencyKey(['a', 'b'])).toThrow(expect.objectContaining({ code: 'invalid-request' }))
    expect(idempotencyKey(undefined)).toBeUndefined()
  })
})

describe('the fingerprint', () => {
  const use = { method: 'POST', route: '/v1/tests', pathValues: [] as string[], rawBody: Buffer.from('{"a":1}') }

  test.each([
    ['method', { ...use, method: 'PATCH' }],
    ['route', { ...use, route: '/v1/plants' }],
    ['path value', { ...use, pathValues: ['tst_1'] }],
    ['single byte', { ...use, rawBody: Buffer.from('{"a": 1}') }],
  ])('changes with another %s', (_, other) => {
    expect(fingerprint(other).equals(fingerprint(use))).toBe(false)
  })

  test('keeps neighbouring parts apart', () => {
    const pair = fc.tuple(fc.string(), fc.string())
    fc.assert(
      fc.property(pair, pair, (a, b) => {
        fc.pre(a[0] !== b[0] || a[1] !== b[1])
        expect(fingerprint({ ...use, pathValues: a }).equals(fingerprint({ ...use, pathValues: b }))).toBe(false)
      }),
    )
  })
})

describe('work under way', () => {
  const use = { owner: 'firm-a', key: 'k', fingerprint: Buffer.from('one') }

  function gate<T>(): { promise: Promise<T>; open: (value: T) => void; fail: (error: Error) => void } {
    const { promise, resolve, reject } = Promise.withResolvers<T>()
    return { promise, open: resolve, fail: reject }
  }

  test('is done once for twenty repeats at the same time, and all get its outcome', async () => {
    const inFlight = new InFlight<number>()
    const first = gate<number>()
    let runs = 0
    const work = () => {
      runs++
      return first.promise
    }
    const all = Array.from({ length: 20 }, () => inFlight.run(use, work))
    first.open(7)
    const outcomes = await Promise.all(all)
    expect(runs).toBe(1)
    expect(outcomes.filter(({ joined }) => !joined)).toHaveLength(1)
    expect(outcomes.every(({ outcome }) => outcome === 7)).toBe(true)
  })

  test('with other bytes under the same key is refused', async () => {
    const inFlight = new InFlight<number>()
    const first = gate<number>()
    const running = inFlight.run(use, () => first.promise)
    await expect(inFlight.run({ ...use, fingerprint: Buffer.from('two') }, async () => 2)).rejects.toMatchObject({
      code: 'idempotency-key-reused',
    })
    first.open(1)
    await running
  })

  test('of another firm under the same key is its own', async () => {
    const inFlight = new InFlight<number>()
    const first = gate<number>()
    const running = inFlight.run(use, () => first.promise)
    expect(await inFlight.run({ ...use, owner: 'firm-b' }, async () => 2)).toEqual({ outcome: 2, joined: false })
    first.open(1)
    await running
  })

  test('that takes too long makes a repeat come again', async () => {
    const inFlight = new InFlight<number>()
    const first = gate<number>()
    const running = inFlight.run(use, () => first.promise)
    await expect(inFlight.run(use, async () => 2, 5)).rejects.toMatchObject({
      code: 'idempotency-in-progress',
      retryAfterS: 1,
    })
    first.open(1)
    await running
  })

  test('that failed fails its repeats, and the next one begins anew', async () => {
    const inFlight = new InFlight<number>()
    const first = gate<number>()
    const running = [inFlight.run(use, () => first.promise), inFlight.run(use, async () => 2)]
    first.fail(new Error('no luck'))
    const settled = await Promise.allSettled(running)
    expect(settled.every(({ status }) => status === 'rejected')).toBe(true)
    expect(await inFlight.run(use, async () => 3)).toEqual({ outcome: 3, joined: false })
  })
})
