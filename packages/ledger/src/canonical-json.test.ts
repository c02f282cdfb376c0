import canonicalize from 'canonicalize'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { canonicalBytes, canonicalJson, NotCanonicalError } from './canonical-json.ts'
import { canonicalFacts } from './testing/canonical-vectors.ts'

describe('canonical JSON', () => {
  test.each(canonicalFacts)('$fact', ({ input, output }) => {
    expect(canonicalJson(JSON.parse(input))).toBe(output)
  })

  test('agrees with the library canonicalize on any value', () => {
    const value = fc.jsonValue({ maxDepth: 5, stringUnit: 'binary' })
    fc.assert(
      fc.property(value, (v) => {
        expect(canonicalJson(v)).toBe(canonicalize(v))
      }),
      { numRuns: 2_000 },
    )
  })

  test('does not depend on the order of members', () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.jsonValue()), (members) => {
        const reversed = Object.fromEntries(Object.entries(members).reverse())
        expect(canonicalJson(reversed)).toBe(canonicalJson(members))
      }),
    )
  })

  test.each([2, 15, 16, 17, 40])('sorts %i members by code units, whatever order they came in', (count) => {
    const names = Array.from({ length: count }, (_, n) => `${n % 3 === 0 ? 'é' : n % 2 === 0 ? 'Z' : 'a'}${n}`)
    const due = `{${[...names].sort().map((name) => `${JSON.stringify(name)}:1`)}}`
    for (const order of [names, names.toReversed(), names.toSorted()]) {
      expect(canonicalJson(Object.fromEntries(order.map((name) => [name, 1])))).toBe(due)
    }
  })

  test('writes names the same after thousands of others', () => {
    const many = Object.fromEntries(Array.from({ length: 3_000 }, (_, n) => [`member "${n}"`, n]))
    expect(JSON.parse(canonicalJson(many))).toEqual(many)
    expect(canonicalJson({ 'member "2999"': 0, [`n${'x'.repeat(100)}`]: 1 })).toBe(
      `{"member \\"2999\\"":0,"n${'x'.repeat(100)}":1}`,
    )
  })

  test('is UTF-8', () => {
    expect(Buffer.from(canonicalBytes('Ä€😀')).toString('hex')).toBe('22c384e282acf09f988022')
  })

  test.each([
    ['NaN', { runs: [1, Number.NaN] }, '/runs/1'],
    ['Infinity', { a: Number.POSITIVE_INFINITY }, '/a'],
    ['a missing value', { 'a/b': undefined }, '/a~1b'],
    ['a lone surrogate', { a: { 'c~d': 'x\ud800' } }, '/a/c~0d'],
    ['a lone surrogate in a name', { a: { '\udc00': 1 } }, '/a/\udc00'],
    ['a bigint', [1n], '/0'],
    ['a date', { at: new Date(0) }, '/at'],
    ['a map', new Map([['a', 1]]), ''],
    ['bytes', { raw: new Uint8Array(2) }, '/raw'],
  ])('refuses %s and says where it is', (_, value, pointer) => {
    expect(() => canonicalJson(value)).toThrow(expect.objectContaining({ name: 'NotCanonicalError', pointer }))
  })

  test('refuses a value that contains itself', () => {
    const loop: Record<string, unknown> = {}
    loop.self = loop
    expect(() => canonicalJson(loop)).toThrow(NotCanonicalError)
  })
})
