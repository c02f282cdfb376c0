/** Test help: submissions of a registered firm. */
import { createHash, randomBytes, randomUUID } from 'node:crypto'
import type { RegisteredFirm } from '../db/testing.ts'
import type { Submission } from './write.ts'

const sha256 = (...parts: Uint8Array[]): Buffer => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
}

/** A submission of the firm with other bytes each time. */
export function submissionOf(firm: RegisteredFirm, change: Partial<Submission> = {}): Submission {
  const id = change.id ?? randomUUID()
  const raw = change.raw ?? Buffer.from(JSON.stringify({ invented: id }))
  const context = change.context ?? Buffer.from(JSON.stringify({ plant: firm.plantId }))
  const entry = change.entry ?? Buffer.from(JSON.stringify({ kind: 'test', subject: id, v: 1 }))
  return {
    id,
    firmId: firm.firmId,
    plantId: firm.plantId,
    testerId: firm.testerId,
    testedOn: '2026-05-04',
    receivedAt: new Date('2026-05-04T18:30:15.250Z'),
    edition: '2026-1',
    raw,
    rawSha256: sha256(raw),
    salt: randomBytes(16),
    context,
    contextSha256: sha256(context),
    evaluationSha256: sha256(Buffer.from(id)),
    soundness: 'sound',
    findings: [],
    main: {},
    statistics: {
      groups: 'electric-motor|well|not-stated|not-stated|pitot-traverse|electric-sounder|meter-display|none|USD',
    },
    keyId: firm.principal.keyId,
    entry,
    leafHash: sha256(Buffer.of(0), entry),
    ...change,
  }
}

export function idempotencyKey(key: string = randomUUID()): NonNullable<Submission['idempotency']> {
  return { key, fingerprint: sha256(Buffer.from(key)), operation: 'tests.submit' }
}
