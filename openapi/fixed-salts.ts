/** Salts are drawn by chance. In the examples fixed ones stand in their place, and hashes that go with them. */
import { createHash } from 'node:crypto'
import { canonicalBytes } from '@liftledger/ledger'

interface Salted {
  readonly salt: string
  readonly sha256: string
  /** What the hash is over, of a note and of a decision. */
  readonly content?: unknown
  readonly words?: unknown
}

const sha256 = (...parts: Uint8Array[]): string => createHash('sha256').update(Buffer.concat(parts)).digest('hex')

/** JSON text with each salt replaced by one that is counted, and each salted hash by the hash under it. */
export function withFixedSalts(text: string): string {
  const found = new Map<string, Salted>()
  JSON.parse(text, (_, value: unknown) => {
    if (isSalted(value)) found.set(value.salt, value)
    return value
  })
  return [...found.values()].reduce((left, { salt, sha256: hash, content, words }, n) => {
    const fixed = sha256(Buffer.from(`salt ${n} of the examples`)).slice(0, salt.length)
    return left
      .replaceAll(salt, fixed)
      .replaceAll(hash, sha256(Buffer.from(fixed, 'hex'), canonicalBytes(content ?? words)))
  }, text)
}

function isSalted(value: unknown): value is Salted {
  if (typeof value !== 'object' || value === null) return false
  return 'salt' in value && 'sha256' in value && ('content' in value || 'words' in value)
}
