/** What a real submission leaves in the database: bytes of usual size, with the hashes that the checks ask for. */
import { createHash } from 'node:crypto'
import { evaluate, latestEdition } from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'
import { context, sheet, sheetText } from '../bench/example.ts'
import type { Sample } from './fill.ts'

export function sample(): Sample {
  const entry = Buffer.from(JSON.stringify({ kind: 'test', v: 1, filled: 'x'.repeat(380) }))
  return {
    raw: Buffer.from(sheetText),
    context: Buffer.from(canonicalBytes(context)),
    salt: Buffer.alloc(16, 7),
    findings: evaluate(sheet, context, latestEdition).findings.map(({ id, severity, place }) => ({
      id,
      severity,
      place,
    })),
    entry,
    leafHash: createHash('sha256').update(Buffer.of(0)).update(entry).digest(),
  }
}
