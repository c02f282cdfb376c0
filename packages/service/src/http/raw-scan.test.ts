import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Problem } from './problem.ts'
import { MEMBERS_MAX, NESTING_MAX, parseJson } from './raw-scan.ts'

const bytes = (body: string | number[]): Buffer => (typeof body === 'string' ? Buffer.from(body) : Buffer.from(body))

function refusal(body: string | number[]): Problem {
  try {
    parseJson(bytes(body))
  } catch (error) {
    if (error instanceof Problem) return error
    throw error
  }
  throw new Error('accepted')
}

describe('a body', () => {
  test.each([
    '{"a":[1,2.5,-3e2,0,-0.0,true,false,null,"x\\n\\u00e4\\ud83d\\ude00"],"b":{}}',
    ' [ ] ',
    '"Ä€😀"',
    '12345678901234567',
    '0.000000000000000012345678901234567',
    '100000000000000000000000',
    '23.500000000000000000000',
    '1.7976931348623157e308',
    '5e-324',
    '0e999',
    '-0.0e-999',
    `${'['.repeat(NESTING_MAX)}${']'.repeat(NESTING_MAX)}`,
    '{"a":{"a":{"a":1}},"b":{"a":1}}',
    '[{"a":1},{"a":2}]',
  ])('%s is read as JSON.parse reads it', (body) => {
    expect(parseJson(bytes(body))).toEqual(JSON.parse(body))
  })

  test('keeps a member named __proto__ as a plain member', () => {
    const value = parseJson(bytes('{"__proto__":{"admin":true}}')) as object
    expect(Object.keys(value)).toEqual(['__proto__'])
    expect(({} as { admin?: boolean }).admin).toBeUndefined()
  })

  test.each<[string, string | number[], number]>([
    ['nothing', '', 0],
    ['a trailing comma', '[1,]', 3],
    ['a missing value', '{"a":}', 5],
    ['a name without quotes', '{a:1}', 1],
    ['single quotes', "{'a':1}", 1],
    ['two values', '1 2', 2],
    ['a leading zero', '[012]', 2],
    ['a leading plus', '[+1]', 1],
    ['a bare point', '[1.]', 3],
    ['NaN', '[NaN]', 1],
    ['a comment', '/* */ 1', 0],
    ['an unfinished literal', '[tru]', 1],
    ['an unfinished text', '["ab', 4],
    ['a raw line break in a text', '["a\nb"]', 3],
    ['an unknown escape', '["\\x41"]', 2],
    ['a short \\u', '["\\u12"]', 6],
    ['a byte order mark', [0xef, 0xbb, 0xbf, 0x31], 0],
    ['an invalid byte', [0x5b, 0x22, 0xff, 0x22, 0x5d], 2],
    ['an overlong form', [0x22, 0xc3, 0xa4, 0xc0, 0xaf, 0x22], 3],
    ['a surrogate in UTF-8', [0x22, 0xef, 0xbf, 0xbd, 0xed, 0xa0, 0x80, 0x22], 4],
    ['UTF-16', [0x5b, 0x00, 0x5d, 0x00], 1],
    ['too deep a nesting', '['.repeat(NESTING_MAX + 1), NESTING_MAX],
  ])('with %s is refused with its byte offset', (_, body, at) => {
    const problem = refusal(body)
    expect(problem.code).toBe('malformed-json')
    expect(problem.message).toMatch(new RegExp(`^At byte ${at}: `))
  })

  test.each([
    ['the same member twice', '{"runs":[{},{"flow":1,"power":2,"flow":3}]}', '/runs/1/flow', 'duplicate-member'],
    ['the same member written as an escape', '{"a/b":{"flow":1,"\\u0066low":2}}', '/a~1b/flow', 'duplicate-member'],
    ['a lone high surrogate', '{"a":"\\ud800"}', '/a', 'wrong-format'],
    ['a lone low surrogate', '{"a":["\\udc00"]}', '/a/0', 'wrong-format'],
    ['two high surrogates', '{"a":"\\ud800\\ud800"}', '/a', 'wrong-format'],
    ['the character U+0000', '{"a":"\\u0000"}', '/a', 'wrong-format'],
  ])('with %s is refused with its pointer', (_, body, pointer, code) => {
    const problem = refusal(body)
    expect(problem.code).toBe('malformed-json')
    expect(problem.errors).toMatchObject([{ pointer, code }])
  })

  test.each([
    ['[0,{"a":1e999}]', '/1/a'],
    ['-1e400', ''],
    ['{"a":1e-400}', '/a'],
    ['{"a":123456789012345678}', '/a'],
    ['{"a":0.10000000000000000001}', '/a'],
    [`[${'9'.repeat(400)}]`, '/0'],
    [`[1${'0'.repeat(400)}]`, '/0'],
    [`[0.${'0'.repeat(400)}1]`, '/0'],
  ])('%s is refused as a number out of range', (body, pointer) => {
    const problem = refusal(body)
    expect(problem.code).toBe('number-out-of-range')
    expect(problem.errors).toMatchObject([{ pointer, code: 'number-out-of-range' }])
  })

  test('with many members in one object is refused before it costs time', () => {
    const members = (count: number) => `{${Array.from({ length: count }, (_, n) => `"m${n}":0`).join(',')}}`
    expect(() => parseJson(bytes(members(MEMBERS_MAX)))).not.toThrow()
    expect(refusal(members(MEMBERS_MAX + 1)).code).toBe('malformed-json')
  })

  test('of any JSON value is read back unchanged', () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 6, stringUnit: 'grapheme' }), (body) => {
        try {
          expect(parseJson(bytes(body))).toEqual(JSON.parse(body))
        } catch (error) {
          // The only honest reason: U+0000, which the generator may draw.
          if (!(error instanceof Problem) || !body.includes('\\u0000')) throw error
        }
      }),
      { numRuns: 2_000 },
    )
  })

  test('of any bytes is refused with a problem whenever JSON.parse refuses it, and never crashes', () => {
    const token = fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      ':',
      ',',
      '"',
      '"a"',
      '\\',
      '\\u',
      '1',
      '-',
      '.',
      'e',
      '0',
      'true',
      'nul',
      ' ',
      '\n',
      'Ä',
    )
    fc.assert(
      fc.property(fc.array(token, { maxLength: 12 }), (tokens) => {
        const body = tokens.join('')
        let accepted = true
        try {
          parseJson(bytes(body))
        } catch (error) {
          expect(error).toBeInstanceOf(Problem)
          accepted = false
        }
        // Accepted bytes are JSON: JSON.parse does not throw on them.
        if (accepted) expect(() => JSON.parse(body)).not.toThrow()
        else if (!/"a".*"a"|0e|"".*""|\d.*e/.test(body)) expect(() => JSON.parse(body)).toThrow()
      }),
      { numRuns: 20_000 },
    )
  })
})

const folder = join(process.env.VECTORS_DIR ?? '', 'json-parsing', 'test_parsing')
const present = process.env.VECTORS_DIR !== undefined && existsSync(folder)

describe.skipIf(!present)('outside documents (JSONTestSuite)', () => {
  const names = present ? readdirSync(folder) : []
  const outcome = (name: string): 'accepted' | Problem => {
    try {
      parseJson(readFileSync(join(folder, name)))
      return 'accepted'
    } catch (error) {
      if (error instanceof Problem) return error
      throw error
    }
  }
  /** Valid by the grammar, refused here: names appear once. */
  const STRICTER = ['y_object_duplicated_key.json', 'y_object_duplicated_key_and_value.json']
  /** Valid by the grammar, refused here: U+0000 can't be kept. */
  const NUL = ['y_object_escaped_null_in_key.json', 'y_string_null_escape.json']

  test.each(names.filter((name) => name.startsWith('n_')))('%s is refused', (name) => {
    expect(outcome(name)).toMatchObject({ code: 'malformed-json' })
  })
  test.each(names.filter((name) => name.startsWith('y_')))('%s is accepted', (name) => {
    if ([...STRICTER, ...NUL].includes(name)) expect(outcome(name)).toMatchObject({ code: 'malformed-json' })
    else expect(outcome(name)).toBe('accepted')
  })
  test.each(names.filter((name) => name.startsWith('i_')))('%s is survived', (name) => {
    expect(['accepted', 'malformed-json', 'number-out-of-range']).toContain(
      ((result) => (result === 'accepted' ? result : result.code))(outcome(name)),
    )
  })
})
