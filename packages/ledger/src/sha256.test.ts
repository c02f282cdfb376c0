import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { toHex, utf8 } from './bytes.ts'
import * as inNode from './sha256.node.ts'
import * as inWeb from './sha256.web.ts'

describe.each([
  ['of Node', inNode],
  ['of browsers', inWeb],
])('SHA-256 %s', (_, { sha256, sha256Hex, sha256Into }) => {
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
    expect(sha256Hex(utf8(text.slice(0, 2)), utf8(text.slice(2)))).toBe(due)
  })

  test('is written where it is asked for, also over what it is made of', () => {
    const bytes = new Uint8Array(70).fill(5)
    const due = sha256(bytes.subarray(2, 66))
    sha256Into(bytes.subarray(2, 66), bytes, 3)
    expect(bytes.subarray(3, 35)).toEqual(due)
    expect([bytes[2], bytes[35]]).toEqual([5, 5])
  })

  test('of parts too long to be brought together is the same', () => {
    const [long, short] = [new Uint8Array(70_000).fill(1), new Uint8Array(3).fill(2)]
    expect(sha256(long, short)).toEqual(sha256(Uint8Array.of(...long, ...short)))
  })
})

test('both give the same for any parts', () => {
  fc.assert(
    fc.property(fc.array(fc.uint8Array({ maxLength: 200 }), { maxLength: 4 }), (parts) => {
      expect(inWeb.sha256(...parts)).toEqual(inNode.sha256(...parts))
      expect(inWeb.sha256Hex(...parts)).toBe(inNode.sha256Hex(...parts))
    }),
  )
})
