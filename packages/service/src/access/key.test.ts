import { createHmac } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import { hashKey, keyIdOf, makeKey, sameHash } from './key.ts'

const pepper = 'a pepper for these tests only, 32 bytes'

describe('API key', () => {
  test('has the published form, and its id can be read from it', () => {
    const { key, id } = makeKey('demo', pepper)
    expect(key).toMatch(/^llk_demo_[0-9A-HJKMNP-TV-Z]{12}_[0-9A-Za-z]{38}$/)
    expect(keyIdOf(key, 'demo')).toBe(id)
  })

  test('of another environment is not a key here', () => {
    expect(keyIdOf(makeKey('demo', pepper).key, 'live')).toBeUndefined()
  })

  test('with any single character changed is refused without a query', () => {
    const { key } = makeKey('live', pepper)
    for (let position = 0; position < key.length; position++) {
      const other = key[position] === 'x' ? 'y' : 'x'
      expect(keyIdOf(key.slice(0, position) + other + key.slice(position + 1), 'live')).toBeUndefined()
    }
  })

  test.each(['', 'llk_demo_', 'Bearer x', 'llk_demo_000000000000_', 'ä'.repeat(60)])('%j is refused', (text) => {
    expect(keyIdOf(text, 'demo')).toBeUndefined()
  })

  test('is never the same twice, and its characters are drawn evenly', () => {
    const keys = Array.from({ length: 4_000 }, () => makeKey('demo', pepper))
    expect(new Set(keys.map(({ id }) => id)).size).toBe(keys.length)
    const counts = new Map<string, number>()
    for (const { key } of keys) {
      for (const character of key.slice(22, 54)) counts.set(character, (counts.get(character) ?? 0) + 1)
    }
    const expected = (4_000 * 32) / 62
    expect(counts.size).toBe(62)
    // Chi-squared with 61 degrees of freedom exceeds 130 less than once in a million (Wilson and Hilferty’s approximation).
    const chiSquared = [...counts.values()].reduce((sum, n) => sum + (n - expected) ** 2 / expected, 0)
    expect(chiSquared).toBeLessThan(130)
  })

  test('is stored as its HMAC-SHA-256 under the pepper', () => {
    const { key, hash } = makeKey('live', pepper)
    expect(hash.equals(createHmac('sha256', pepper).update(key).digest())).toBe(true)
    expect(sameHash(hash, hashKey(key, pepper))).toBe(true)
    expect(sameHash(hash, hashKey(key, 'another pepper'))).toBe(false)
    expect(sameHash(hash, hash.subarray(1))).toBe(false)
  })
})
