import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import canonicalize from 'canonicalize'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { canonicalBytes, canonicalJson, NotCanonicalError } from './canonical-json.ts'

/** Facts of RFC 8785, written as the JSON text that goes in and the text that must come out. */
const facts: { fact: string; source: string; input: string; output: string }[] = [
  {
    fact: 'numbers, escapes and literals of the sample',
    source: 'RFC 8785 (2020), 3.2.2 sample object, 3.2.3 its result; from memory',
    input:
      '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],' +
      '"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals":[null,true,false]}',
    output:
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
      '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
  },
  {
    fact: 'members are sorted by UTF-16 code units, not by code points',
    source: 'RFC 8785 (2020), 3.2.3, sorting example; from memory',
    input:
      '{"\\u20ac":"Euro Sign","\\r":"Carriage Return","\\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",' +
      '"\\ud83d\\ude00":"Emoji: Grinning Face","\\u0080":"Control","\\u00f6":"Latin Small Letter O With Diaeresis"}',
    output:
      '{"\\r":"Carriage Return","1":"One","\u0080":"Control","ö":"Latin Small Letter O With Diaeresis",' +
      '"€":"Euro Sign","😀":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}',
  },
  { fact: 'minus zero is zero', source: 'RFC 8785 (2020), appendix B; from memory', input: '-0', output: '0' },
  {
    fact: 'the smallest and the largest number',
    source: 'RFC 8785 (2020), appendix B; from memory',
    input: '[5e-324,1.7976931348623157e308]',
    output: '[5e-324,1.7976931348623157e+308]',
  },
  {
    fact: 'the exponent begins at 1e21',
    source: 'RFC 8785 (2020), appendix B; from memory',
    input: '[999999999999999900000,1e21,1e-6,1e-7]',
    output: '[999999999999999900000,1e+21,0.000001,1e-7]',
  },
]

describe('canonical JSON', () => {
  test.each(facts)('$fact', ({ input, output }) => {
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

const vectors = join(process.env.VECTORS_DIR ?? '', 'rfc8785', 'testdata')
const present = process.env.VECTORS_DIR !== undefined && existsSync(vectors)

describe.skipIf(!present)('outside vectors of RFC 8785 (cyberphone/json-canonicalization)', () => {
  const names = present ? readdirSync(join(vectors, 'input')) : []
  test.each(names)('%s', (name) => {
    const value: unknown = JSON.parse(readFileSync(join(vectors, 'input', name), 'utf8'))
    expect(canonicalJson(value)).toBe(readFileSync(join(vectors, 'output', name), 'utf8').trimEnd())
    const hex = readFileSync(join(vectors, 'outhex', name.replace('.json', '.txt')), 'utf8').replace(/\s/g, '')
    expect(Buffer.from(canonicalBytes(value)).toString('hex')).toBe(hex)
  })
})
