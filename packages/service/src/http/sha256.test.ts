import { createHash } from 'node:crypto'
import { expect, test } from 'vitest'
import { sha256, sha256Hex } from './sha256.ts'

/** FIPS 180-4 examples, NIST Cryptographic Standards and Guidelines, "SHA-256": the texts `abc` and of 56 letters. */
test.each([
  ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  [
    'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
    '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
  ],
])('is the published hash of %s, whole and in parts', (text, due) => {
  expect(sha256Hex(text)).toBe(due)
  expect(sha256(Buffer.from(text)).toString('hex')).toBe(due)
  expect(sha256Hex(text.slice(0, 1), Buffer.from(text.slice(1, 2)), text.slice(2))).toBe(due)
})

test.each([1, 20_000, 40_000, 70_000, 300_000])('does not depend on how %i characters are parted', (length) => {
  const text = 'ä€😀x'.repeat(length / 4 + 1)
  const due = createHash('sha256').update('salt').update(text).digest('hex')
  expect(sha256Hex(Buffer.from('salt'), text)).toBe(due)
  expect(sha256(`salt${text}`).toString('hex')).toBe(due)
})
