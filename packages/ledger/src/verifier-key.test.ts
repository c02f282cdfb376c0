import { describe, expect, test } from 'vitest'
import { fromBase64 } from './bytes.ts'
import { ed25519Signer } from './signing.ts'
import { formatVerifierKey, parseVerifierKey, verifierKey } from './verifier-key.ts'

/** Keys printed by others. */
const PRINTED = [
  // C2SP signed-note, example; looked up as cited by another implementation's tests.
  { text: 'example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k', type: 1 },
  // transparency-dev/formats, note/note_cosigv1_test.go: a plus sign within the base 64; looked up.
  { text: 'TEST+7997405c+AQcC+FTVKf0jlTdHDY3rbevmnKxxPjigCXlVtGe6RIr6', type: 1 },
] as const

describe('verifier key', () => {
  test.each(PRINTED)('$text is read, its id recomputed, and written the same', ({ text, type }) => {
    const key = parseVerifierKey(text)
    expect(key.type).toBe(type)
    expect(key.id.toString(16)).toBe(text.split('+')[1])
    expect(formatVerifierKey(key)).toBe(text)
  })

  test('the same key for cosignatures has another id', () => {
    const { publicKey } = parseVerifierKey(PRINTED[0].text)
    const witness = verifierKey('example.com/foo', publicKey, 4)
    expect(witness.id).not.toBe(parseVerifierKey(PRINTED[0].text).id)
    expect(parseVerifierKey(formatVerifierKey(witness))).toEqual(witness)
  })

  const good = PRINTED[0].text
  test.each([
    ['another letter in its name', good.replace('foo', 'fop'), 'its id is'],
    ['another letter in its key', good.replace('AekyeR', 'AekyeS'), 'its id is'],
    ['another digit in its id', good.replace('530d903a', '530d903b'), 'its id is'],
    ['an id in capitals', good.replace('530d903a', '530D903A'), 'its id is'],
    ['only a name', 'example.com/foo', 'NAME+ID+KEY'],
    ['no key', 'example.com/foo+530d903a', 'NAME+ID+KEY'],
    ['no base 64', `${good}!`, 'base 64'],
    ['a type that is not known', 'example.com/foo+530d903a+BekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k', 'its type'],
    ['a key of 30 bytes', 'example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3Q==', 'has 30 bytes'],
    ['a name with a space', good.replace('example', 'exam ple'), 'no spaces'],
    ['nothing', '', 'NAME+ID+KEY'],
  ])('with %s is refused', (_, text, says) => {
    expect(() => parseVerifierKey(text)).toThrow(expect.objectContaining({ code: 'key-malformed' }))
    expect(() => parseVerifierKey(text)).toThrow(says)
  })

  test.each(['', 'a b', 'a+b', 'a\u00a0b', 'a\u2028b', 'a\nb', 'a\u0000b', 'a\ud800'])(
    '%j can not be a name',
    (name) => {
      expect(() => verifierKey(name, new Uint8Array(32))).toThrow(expect.objectContaining({ code: 'key-malformed' }))
    },
  )

  test('a seed of another length makes no signer', () => {
    expect(() => ed25519Signer('example.com/log', new Uint8Array(31))).toThrow(/32 bytes/)
  })

  test('base 64 is read in one spelling only', () => {
    expect(fromBase64('AQ==')).toEqual(Uint8Array.of(1))
    for (const other of ['AR==', 'AQ=', 'AQ', 'AQ== ', ' AQ==', 'A-==', 'AQ==AQ==', 'A===']) {
      expect(fromBase64(other), other).toBeUndefined()
    }
  })
})
