import { describe, expect, test } from 'vitest'
import { toBase64 } from './bytes.ts'
import { EMPTY_ROOT } from './merkle.ts'
import { type ReceiptContent, receiptBytes, verifyReceipt } from './receipt.ts'
import { ed25519Signer } from './signing.ts'

const log = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(1))
const content: ReceiptContent = {
  origin: 'ledger.example/log',
  index: 41,
  leafHash: EMPTY_ROOT,
  at: '2026-05-04T09:30:00.000Z',
}
const receipt = { ...content, signature: log.sign(receiptBytes(content)) }

describe('receipt', () => {
  test('is five lines', () => {
    expect(Buffer.from(receiptBytes(content)).toString()).toBe(
      `liftledger-receipt/v1\nledger.example/log\n41\n${toBase64(EMPTY_ROOT)}\n2026-05-04T09:30:00.000Z\n`,
    )
  })

  test('signed by the log is believed', async () => {
    await expect(verifyReceipt(receipt, log.key)).resolves.toBeUndefined()
  })

  test.each([
    ['another index', { index: 40 }],
    ['another entry', { leafHash: EMPTY_ROOT.map((byte, i) => (i === 0 ? byte ^ 1 : byte)) }],
    ['another time', { at: '2026-05-04T09:30:00.001Z' }],
    ['another signature', { signature: new Uint8Array(64) }],
    ['a signature cut short', { signature: receipt.signature.slice(1) }],
    ['a hash cut short', { leafHash: EMPTY_ROOT.slice(1) }],
    ['half an index', { index: 41.5 }],
  ])('with %s is not', async (_, change) => {
    await expect(verifyReceipt({ ...receipt, ...change }, log.key)).rejects.toThrow(
      expect.objectContaining({ code: 'signature-wrong' }),
    )
  })

  test('with a line break moved from one member to the next is not', async () => {
    const moved = { ...content, at: `${content.at}\n` }
    const signed = { ...moved, signature: log.sign(receiptBytes(moved)) }
    await expect(verifyReceipt(signed, log.key)).rejects.toThrow(expect.objectContaining({ code: 'signature-wrong' }))
  })

  test('is held only against a signing key of its log', async () => {
    const other = ed25519Signer('other.example/log', new Uint8Array(32).fill(1))
    const witness = ed25519Signer('ledger.example/log', new Uint8Array(32).fill(1), 4)
    for (const { key } of [other, witness]) {
      await expect(verifyReceipt(receipt, key)).rejects.toThrow(expect.objectContaining({ code: 'key-unknown' }))
    }
  })
})
