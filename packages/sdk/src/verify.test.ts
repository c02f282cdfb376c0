import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { canonicalBytes, formatReceipts, formatVerifierKey, signReceipts } from '@liftledger/ledger'
import {
  bundleOf,
  checkpointAt,
  logSigner,
  type SampleTest,
  sampleLog,
  witnessSigner,
} from '@liftledger/ledger/testing'
import { describe, expect, test } from 'vitest'
import { bundleSize } from '../size.ts'
import { parseReceipt, parseVerifierKey, verifyBundle, verifyReceipt } from './verify.ts'

/** A sheet as a firm would send it, with its evaluation under an edition. */
function evaluated(sheet: Sheet, context: Context, edition: string): SampleTest {
  return {
    raw: Buffer.from(JSON.stringify(sheet, null, 1)),
    context: canonicalBytes(context),
    evaluation: canonicalBytes(evaluate(sheet, context, editionById(edition)!)),
    edition,
  }
}

const golden = goldenCases('2026-1')
const samples = golden.map(({ sheet, context }) => evaluated(sheet, context, '2026-1'))
const log = sampleLog(samples)
const keys = [formatVerifierKey(logSigner.key), formatVerifierKey(witnessSigner.key)]
const codes = async (bytes: Uint8Array): Promise<string[]> =>
  (await verifyBundle(bytes, { keys })).problems.map(({ code }) => code)

describe('a bundle', () => {
  test('of every golden sheet is verified, and each replays to the last bit', async () => {
    const report = await verifyBundle(bundleOf(log, { since: 5 }), { keys })
    expect(report.problems).toEqual([])
    expect(report.counts).toMatchObject({ tests: golden.length, replayed: golden.length, identical: golden.length })
  })

  test('whose sheet was changed together with its hash does not replay', async () => {
    const [first, ...rest] = samples
    const raw = Buffer.from(first!.raw).toString().replace('"value": 40.5,', '"value": 41.5,')
    expect(raw).toContain('41.5')
    const forged = { ...first!, raw: Buffer.from(raw) }
    expect(await codes(bundleOf(sampleLog([forged, ...rest])))).toEqual(['evaluation-differs'])
  })

  test('of an edition that is not known says so', async () => {
    expect(await codes(bundleOf(sampleLog([{ ...samples[0]!, edition: '2099-1' }])))).toEqual(['edition-unknown'])
  })

  test('of what is no sheet says so, and does not crash', async () => {
    for (const raw of ['', '{}', '[1', '\ufffe', 'null']) {
      const sample = { ...samples[0]!, raw: Buffer.from(raw) }
      const [code, ...more] = await codes(bundleOf(sampleLog([sample])))
      expect(more).toEqual([])
      expect(['replay-failed', 'evaluation-differs'], raw).toContain(code)
    }
  })

  test('without replay is verified up to the bytes', async () => {
    const report = await verifyBundle(bundleOf(log), { keys, replay: false })
    expect(report).toMatchObject({ ok: true, counts: { replayed: 0 } })
  })

  test('continues a checkpoint that was kept', async () => {
    const bytes = bundleOf(log, { since: 5 })
    expect((await verifyBundle(bytes, { keys, sinceCheckpoint: checkpointAt(log, 5) })).ok).toBe(true)
    expect((await verifyBundle(bytes, { keys, sinceCheckpoint: checkpointAt(log, 6) })).problems).toMatchObject([
      { code: 'consistency-missing' },
    ])
  })

  test('needs keys that are keys', async () => {
    await expect(verifyBundle(bundleOf(log), { keys: ['a+b'] })).rejects.toThrow(/is not a verifier key/)
    await expect(verifyBundle(bundleOf(log), { keys, sinceCheckpoint: 'none' })).rejects.toThrow(/can not be read/)
    expect((await verifyBundle(bundleOf(log), { keys: [` ${keys[0]} \n`] })).ok).toBe(true)
  })
})

test('a receipt, as it stands in the answer to a submission, is verified with the key as text', async () => {
  const leafHashes = [log.read(0, 0), log.read(0, 1)]
  const [, text] = formatReceipts(signReceipts(logSigner, { first: 7, leafHashes, at: '2026-05-04T09:30:00.000Z' }))
  const key = parseVerifierKey(keys[0]!)
  await expect(verifyReceipt(parseReceipt(text!), key)).resolves.toBeUndefined()
  const moved = parseReceipt(text!.replace('"first":7', '"first":6').replace('"index":8', '"index":7'))
  await expect(verifyReceipt(moved, key)).rejects.toThrow(/not signed by the key/)
})

test('the entry bundles for browsers, without a module of Node', async () => {
  const { gzipBytes } = await bundleSize("export * from './src/verify.ts'")
  expect(gzipBytes).toBeGreaterThan(10_000)
})
