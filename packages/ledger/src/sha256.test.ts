import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { toHex, utf8 } from './bytes.ts'
import { sha256 as inNode } from './sha256.node.ts'
import { sha256 as inWeb } from './sha256.web.ts'

describe.each([
  ['of Node', inNode],
  ['of browsers', inWeb],
])('SHA-256 %s', (_, sha256) => {
  // NIST, FIPS 180-2 (2002), appendix B.1 and B.2; from memory.
  test.each([
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
  ])('of %s is as printed', (text, due) => {
    expect(toHex(sha256(utf8(text)))).toBe(due)
    expect(toHex(sha256(utf8(text.slice(0, 2)), utf8(text.slice(2))))).toBe(due)
  })
})

test('both give the same for any parts', () => {
  fc.assert(
    fc.property(fc.array(fc.uint8Array({ maxLength: 200 }), { maxLength: 4 }), (parts) => {
      expect(inWeb(...parts)).toEqual(inNode(...parts))
    }),
  )
})
