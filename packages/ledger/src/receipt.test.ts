import { describe, expect, test } from 'vitest'
import { toBase64 } from './bytes.ts'
import { leafHash } from './entry.ts'
import { EMPTY_ROOT, extend, rootOf } from './merkle.ts'
import { formatReceipts, parseReceipt, type Receipt, receiptBytes, signReceipts, verifyReceipt } from './receipt.ts'
import { ed25519Signer } from './signing.ts'

const log = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(1))
const at = '2026-05-04T09:30:00.000Z'
const leavesOf = (count: number) => Array.from({ length: count }, (_, i) => leafHash(Uint8Array.of(i)))
const five = signReceipts(log, { first: 41, leafHashes: leavesOf(5), at })
const receipt = five[2]!
const formatReceipt = (one: Receipt): string => formatReceipts([one])[0]!
const code = (code: string) => expect.objectContaining({ code })

describe('what is signed', () => {
  test('is six lines', () => {
    const bytes = receiptBytes({ origin: 'ledger.example/log', first: 41, count: 5, root: EMPTY_ROOT, at })
    expect(Buffer.from(bytes).toString()).toBe(
      `liftledger-receipt/v1\nledger.example/log\n41\n5\n${toBase64(EMPTY_ROOT)}\n${at}\n`,
    )
  })

  test('is signed once for all that were stored together, over the root of their leaves', () => {
    const root = rootOf(extend({ size: 0, peaks: [] }, leavesOf(5)))
    const signature = log.sign(receiptBytes({ origin: 'ledger.example/log', first: 41, count: 5, root, at }))
    for (const one of five) expect(one.signature).toEqual(signature)
  })
})

describe('a receipt', () => {
  test.each([1, 2, 3, 4, 5, 7, 8, 127, 128])(
    'for each of %i entries is believed, also after travelling as text',
    async (count) => {
      const receipts = signReceipts(log, { first: 9, leafHashes: leavesOf(count), at })
      expect(receipts.map(({ index }) => index)).toEqual(leavesOf(count).map((_, i) => 9 + i))
      for (const [i, one] of receipts.entries()) {
        const text = formatReceipts(receipts)[i]!
        expect(text).toBe(formatReceipt(one))
        expect(text).toMatch(/^[\x20-\x7e]+$/)
        await expect(verifyReceipt(parseReceipt(text), log.key)).resolves.toBeUndefined()
      }
    },
  )

  test('for nothing is none', () => {
    expect(signReceipts(log, { first: 9, leafHashes: [], at })).toEqual([])
  })

  const flipped = (bytes: Uint8Array) => bytes.map((byte, i) => (i === 0 ? byte ^ 1 : byte))
  test.each<[string, Partial<Receipt>, string]>([
    ['another index', { index: 42 }, 'signature-wrong'],
    ['an index outside', { index: 46 }, 'index-outside-tree'],
    ['half an index', { index: 43.5 }, 'size-malformed'],
    ['another beginning', { first: 42 }, 'signature-wrong'],
    ['everything moved', { first: 42, index: 44 }, 'signature-wrong'],
    ['another count', { count: 6 }, 'signature-wrong'],
    ['another entry', { leafHash: flipped(receipt.leafHash) }, 'signature-wrong'],
    ['another path', { path: receipt.path.map(flipped) }, 'signature-wrong'],
    ['a path cut short', { path: receipt.path.slice(1) }, 'proof-length'],
    ['a hash cut short', { leafHash: receipt.leafHash.slice(1) }, 'hash-malformed'],
    ['another time', { at: '2026-05-04T09:30:00.001Z' }, 'signature-wrong'],
    ['another signature', { signature: new Uint8Array(64) }, 'signature-wrong'],
    ['a signature cut short', { signature: receipt.signature.slice(1) }, 'signature-wrong'],
  ])('with %s is not', async (_, change, reason) => {
    await expect(verifyReceipt({ ...receipt, ...change }, log.key)).rejects.toThrow(code(reason))
  })

  test('with a line break in a member is not, whoever signed it', async () => {
    const [moved] = signReceipts(log, { first: 41, leafHashes: leavesOf(1), at: `${at}\n` })
    await expect(verifyReceipt(moved!, log.key)).rejects.toThrow(code('signature-wrong'))
    expect(() => parseReceipt(formatReceipt(moved!))).toThrow(code('receipt-malformed'))
  })

  test('is held only against a signing key of its log', async () => {
    const other = ed25519Signer('other.example/log', new Uint8Array(32).fill(1))
    const witness = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(1), 4)
    for (const { key } of [other, witness]) {
      await expect(verifyReceipt(receipt, key)).rejects.toThrow(code('key-unknown'))
    }
  })

  test.each(['', 'null', '[]', '{}', '{"origin":"a"', formatReceipt(receipt).replace('"path":["', '"path":["?')])(
    'is not read from %j',
    (text) => {
      expect(() => parseReceipt(text)).toThrow(code('receipt-malformed'))
    },
  )
})
