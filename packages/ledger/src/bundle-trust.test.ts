import { describe, expect, test } from 'vitest'
import { makeBundle } from './bundle.ts'
import type { VerifyOptions } from './bundle-report.ts'
import { utf8 } from './bytes.ts'
import { type Checkpoint, checkpointBody, parseCheckpoint } from './checkpoint.ts'
import { verificationCodes } from './errors.ts'
import { consistencyProof, EMPTY_ROOT, rootAt } from './merkle.ts'
import { cosign, parseNote, signNote } from './note.ts'
import { ed25519Signer } from './signing.ts'
import {
  bundleOf,
  checkpointAt,
  logSigner,
  ORIGIN,
  plainTests,
  rewritten,
  sampleLog,
  witnessSigner,
} from './testing/sample-bundle.ts'
import { verifyBundle } from './verify-bundle.ts'

const log = sampleLog(plainTests(9))
const keys = [logSigner.key, witnessSigner.key]
const codesOf = async (bytes: Uint8Array, options: VerifyOptions = { keys }): Promise<string[]> =>
  (await verifyBundle(bytes, options)).problems.map(({ code }) => code)
const at = (size: number): Checkpoint => parseCheckpoint(parseNote(checkpointAt(log, size)).body)

describe('who signed', () => {
  const stranger = ed25519Signer('elsewhere.example', new Uint8Array(32).fill(5))
  const body = checkpointBody({ origin: ORIGIN, size: log.size, root: rootAt(log.size, log.read) })
  const bundled = (checkpoint: string): Uint8Array => makeBundle({ checkpoint, items: log.tests, read: log.read })

  test('none of the keys', async () => {
    expect(await codesOf(bundled(signNote(body, [stranger])))).toEqual(['key-unknown'])
    expect(await codesOf(bundleOf(log), { keys: [] })).toEqual(['key-unknown'])
  })

  test('only a witness, or a key of another name', async () => {
    const note = cosign(signNote(body, [stranger]), witnessSigner, 1)
    expect(await codesOf(bundled(note))).toEqual(['log-signature-missing'])
    expect(await codesOf(bundled(note), { keys: [stranger.key] })).toEqual(['log-signature-missing'])
  })

  test('another key under the name of the log', async () => {
    const forger = ed25519Signer(ORIGIN, new Uint8Array(32).fill(6))
    expect(await codesOf(bundled(signNote(body, [forger])))).toEqual(['key-unknown'])
  })

  test('a signature that does not fit is told from one without a key, and from those that fit', async () => {
    const note = cosign(signNote(body, [logSigner]), witnessSigner, 1)
    const spoiled = note.replace(/(— ledger\S+ .{20})(.)/, (_, start, sign) => start + (sign === 'A' ? 'B' : 'A'))
    const byOf = async (options: VerifyOptions) =>
      (await verifyBundle(bundled(spoiled), options)).checkpoint?.signatures.map(({ by }) => by)
    expect(await byOf({ keys })).toEqual(['does-not-fit', 'witness'])
    expect(await byOf({ keys: [witnessSigner.key] })).toEqual(['unknown', 'witness'])
    expect(await codesOf(bundled(spoiled))).toEqual(['signature-wrong'])
  })

  test('a checkpoint that is none', async () => {
    const text = Buffer.from(bundleOf(log)).toString().replace(`\n${ORIGIN}\n18\n`, `\n${ORIGIN}\n1x\n`)
    expect(await codesOf(utf8(text))).toEqual(['bundle-damaged', 'checkpoint-malformed'])
  })
})

describe('a checkpoint that was kept', () => {
  test.each([
    ['the same', 18],
    ['the earlier one of the file', 5],
  ])('%s is continued', async (_, size) => {
    expect(await codesOf(bundleOf(log, { since: 5 }), { keys, sinceCheckpoint: at(size) })).toEqual([])
  })

  test('of an empty log is continued by any', async () => {
    const empty = { origin: ORIGIN, size: 0, root: EMPTY_ROOT }
    expect(await codesOf(bundleOf(log), { keys, sinceCheckpoint: empty })).toEqual([])
  })

  test('asks for a proof, or for a newer file', async () => {
    for (const [size, says] of [
      [7, '?since=7'],
      [19, 'older'],
    ] as const) {
      const kept = { ...at(5), size }
      const { problems } = await verifyBundle(bundleOf(log, { since: 5 }), { keys, sinceCheckpoint: kept })
      expect(problems).toMatchObject([
        { code: 'consistency-missing', message: expect.stringContaining(says) as string },
      ])
    }
  })

  test('of a history that was rewritten since is not continued', async () => {
    const other = rewritten(log, 2)
    const kept = (size: number): Checkpoint => ({ origin: ORIGIN, size, root: rootAt(size, other) })
    for (const size of [5, 18]) {
      expect(await codesOf(bundleOf(log, { since: 5 }), { keys, sinceCheckpoint: kept(size) })).toEqual([
        'consistency-wrong',
      ])
    }
  })

  test('of another log is no measure', async () => {
    const kept = { ...at(5), origin: 'elsewhere.example/log' }
    expect(await codesOf(bundleOf(log), { keys, sinceCheckpoint: kept })).toEqual(['checkpoint-of-another-log'])
  })

  test('in the file, signed but of another history, is not continued', async () => {
    const other = { ...log, read: rewritten(log, 2) }
    const forked = makeBundle({
      checkpoint: checkpointAt(log, 18),
      earlier: { checkpoint: checkpointAt(other, 5), consistency: consistencyProof(5, 18, log.read) },
      items: log.tests,
      read: log.read,
    })
    expect(await codesOf(forked)).toEqual(['consistency-wrong'])
  })

  test('in the file, but of another log, is told', async () => {
    const elsewhere = ed25519Signer('elsewhere.example/log', new Uint8Array(32).fill(5))
    const body = checkpointBody({ ...at(5), origin: elsewhere.key.name })
    const mixed = makeBundle({
      checkpoint: checkpointAt(log, 18),
      earlier: { checkpoint: signNote(body, [elsewhere]), consistency: consistencyProof(5, 18, log.read) },
      items: [],
      read: log.read,
    })
    expect(await codesOf(mixed, { keys: [...keys, elsewhere.key] })).toEqual(['checkpoint-of-another-log'])
  })
})

test('each code has a sentence of its own', () => {
  const sentences = Object.values(verificationCodes)
  expect(new Set(sentences).size).toBe(sentences.length)
  for (const sentence of sentences) expect(sentence).toMatch(/^[A-Z].*\.$/)
})
