import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { utf8 } from './bytes.ts'
import { addSignature, cosign, cosignatureTime, parseNote, signNote, verifyNote } from './note.ts'
import { ed25519Signer } from './signing.ts'
import { parseVerifierKey } from './verifier-key.ts'

const log = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(1))
const next = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(2))
const witness = ed25519Signer('witness.example/w', new Uint8Array(32).fill(3), 4)
const stranger = ed25519Signer('elsewhere.example', new Uint8Array(32).fill(4))

const BODY = 'ledger.example/log\n7\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n'
const names = async (note: string, keys = [log.key, witness.key]) =>
  (await verifyNote(note, keys)).map(({ name }) => name)
const code = (expected: string) => expect.objectContaining({ name: 'VerificationError', code: expected })

describe('signed note', () => {
  // C2SP signed-note, example note and key; looked up as cited by another implementation's tests.
  test('made by another implementation is verified', async () => {
    const key = parseVerifierKey('example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k')
    const line =
      '— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n'
    expect(await verifyNote(`This is an example message.\n\n${line}`, [key])).toEqual([key])
    await expect(verifyNote(`This is an example message!\n\n${line}`, [key])).rejects.toThrow(code('signature-wrong'))
  })

  // C2SP tlog-cosignature, example checkpoint; its keys aren't printed. Looked up.
  test('of a log and a witness is read, with the time of the cosignature', () => {
    const { body, signatures } = parseNote(
      'example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n\n' +
        '— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n' +
        '— witness.example.com/w1 jWbPPwAAAABkGFDLEZMHwSRaJNiIDoe9DYn/zXcrtPHeolMI5OWXEhZCB9dlrDJsX3b2oyin1nPZqhf5nNo0xUe+mbIUBkBIfZ+qnA==\n',
    )
    expect(body.split('\n')[1]).toBe('20852163')
    expect(signatures.map(({ name }) => name)).toEqual(['example.com/behind-the-sofa', 'witness.example.com/w1'])
    // The text prints the time of this cosignature: 1679315147.
    expect(signatures.map(({ signature }) => cosignatureTime(signature))).toEqual([undefined, 1679315147n])
  })

  test('says which of the given keys signed, and passes over strangers', async () => {
    const note = addSignature(signNote(BODY, [log]), stranger)
    expect(await names(note)).toEqual(['ledger.example/log'])
    expect(await names(cosign(note, witness, 1_780_000_000))).toEqual(['ledger.example/log', 'witness.example/w'])
    expect(await names(note, [stranger.key, log.key])).toEqual(['elsewhere.example', 'ledger.example/log'])
  })

  test('of a log that changed its key is verified by either key', async () => {
    const note = signNote(BODY, [log, next])
    for (const key of [log.key, next.key]) expect(await verifyNote(note, [key])).toEqual([key])
  })

  test('that none of the keys signed says whose signatures are there', async () => {
    await expect(verifyNote(signNote(BODY, [stranger]), [log.key])).rejects.toThrow(code('key-unknown'))
    await expect(verifyNote(signNote(BODY, [stranger]), [log.key])).rejects.toThrow("'elsewhere.example'")
    // The next key has the same name and another id.
    await expect(verifyNote(signNote(BODY, [next]), [log.key])).rejects.toThrow(code('key-unknown'))
    await expect(verifyNote(signNote(BODY, [log]), [])).rejects.toThrow(code('key-unknown'))
  })

  test('is refused for one bad signature of a known key, whatever others say', async () => {
    const good = signNote(BODY, [log])
    const forged = good.replace(BODY, BODY.replace('\n7\n', '\n8\n'))
    await expect(verifyNote(forged, [log.key])).rejects.toThrow(code('signature-wrong'))
    const bad = forged.slice(forged.indexOf('—')) + good.slice(good.indexOf('—'))
    await expect(verifyNote(`${BODY.replace('7', '8')}\n${bad}`, [log.key])).rejects.toThrow(code('signature-wrong'))
  })

  test('the time of a cosignature is signed too', async () => {
    const note = cosign(signNote(BODY, [log]), witness, 1_780_000_000)
    const [, { signature } = { signature: new Uint8Array() }] = parseNote(note).signatures
    expect(cosignatureTime(signature)).toBe(1_780_000_000n)
    const other = cosign(signNote(BODY, [log]), witness, 1_780_000_001)
    const line = (text: string): string => text.split('\n').at(-2)!.split(' ')[2]!
    const mixed = Buffer.from(line(note), 'base64')
    Buffer.from(line(other), 'base64').copy(mixed, 4, 4, 12)
    await expect(verifyNote(note.replace(line(note), mixed.toString('base64')), [witness.key])).rejects.toThrow(
      code('signature-wrong'),
    )
  })

  test('a key for notes makes no cosignature', () => {
    expect(() => cosign(signNote(BODY, [log]), log, 1)).toThrow(code('note-malformed'))
    expect(() => cosign(signNote(BODY, [log]), witness, -1)).toThrow(code('note-malformed'))
  })

  test('is parted at its last empty line', () => {
    const body = 'one\n\ntwo\n'
    expect(parseNote(signNote(body, [log])).body).toBe(body)
  })

  const good = signNote(BODY, [log])
  const line = good.slice(good.indexOf('—'))
  test.each([
    ['no empty line', good.replace('\n\n', '\n')],
    ['no signature', `${BODY}\n`],
    ['no newline at its end', good.slice(0, -1)],
    ['a carriage return', good.replace('7\n', '7\r\n')],
    ['a tab', good.replace('7', '7\t')],
    ['half a character', good.replace('7', '\ud800')],
    ['a hyphen for the dash', good.replace('—', '-')],
    ['two spaces', good.replace('— ', '—  ')],
    ['something behind the signature', good.replace(/\n$/, ' x\n')],
    ['a signature of only an id', `${BODY}\n— a AAAAAA==\n`],
    ['a signature spelled otherwise', good.replace(/=\n$/, '\n')],
    ['a plus sign in a name', good.replace('— ledger', '— led+ger')],
    ['too many signatures', `${BODY}\n${line.repeat(65)}`],
    ['nothing', ''],
  ])('with %s is refused', (_, note) => {
    expect(() => parseNote(note)).toThrow(code('note-malformed'))
  })

  test('any one bit changed in text or signature is noticed', async () => {
    const bytes = utf8(good)
    await fc.assert(
      fc.asyncProperty(fc.nat(bytes.length * 8 - 1), async (bit) => {
        const changed = new TextDecoder().decode(bytes.map((b, i) => (i === bit >> 3 ? b ^ (1 << (bit & 7)) : b)))
        await expect(verifyNote(changed, [log.key])).rejects.toThrow(
          expect.objectContaining({ name: 'VerificationError' }),
        )
      }),
      { numRuns: 300 },
    )
  })

  test('only what is text can be signed', () => {
    for (const body of ['no newline', 'a\u0000\n', '\ud800\n']) {
      expect(() => signNote(body, [log])).toThrow(code('note-malformed'))
    }
    expect(() => signNote(BODY, [])).toThrow(code('note-malformed'))
  })
})
