/**
 * Writes decisions and erases their words, each with its entry in the ledger in one transaction.
 *
 * As the role that writes submissions, since only that appends to the ledger. Nothing is decided here: whoever calls
 * has seen, under the program's own policies, that the test was given to it.
 */
import { canonicalBytes, type FindingDecisionEntry } from '@liftledger/ledger'
import type pg from 'pg'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { callAppending, type StoredEntry, sealed } from '../ledger/append.ts'
import type { DecisionRow } from './queries.ts'
import type { DecisionWords } from './schemas.ts'

export interface Decided {
  /** UUIDs. */
  readonly id: string
  readonly firmId: string
  readonly testId: string
  readonly programId: string
  readonly at: Date
}

export interface DecisionMade {
  readonly finding: string
  readonly run: number | undefined
  readonly place: string
  readonly outcome: FindingDecisionEntry['outcome']
  readonly turn: number
  readonly words: DecisionWords
  readonly salt: Buffer
  readonly keyId: string
}

/** SQLSTATE of a test that the program has no more, or that was closed. */
export const CLOSED = 'LL002'

/** Keeps the decision and answers it as stored; fails with {@link CLOSED} where the test is not to be decided on now. */
export async function writeDecision(
  pool: pg.Pool,
  decided: Decided,
  made: DecisionMade,
): Promise<{ readonly row: DecisionRow; readonly stored: StoredEntry | undefined }> {
  const { id, firmId, testId, programId, at } = decided
  const { finding, run, place, outcome, turn, salt, keyId } = made
  const words = Buffer.from(canonicalBytes(made.words))
  const hash = sha256(salt, words)
  const entry = sealed({
    kind: 'finding-decision',
    ...wireOf(decided),
    finding,
    ...(run !== undefined && { run }),
    place,
    outcome,
    wordsSha256: hash.toString('hex'),
  })
  const about = [finding, run ?? null, place, turn, outcome]
  const values = [id, firmId, testId, programId, ...about, hash, salt, words, keyId, at]
  const stored = await callAppending(pool, { name: 'write_decision', values }, entry)
  const row = {
    ...{ id, firm_id: firmId, test_id: testId, program_id: programId, finding, run: run ?? null, place, turn, outcome },
    ...{ sha256: hash, salt, words, key_id: keyId, decided_at: at, erased_at: null },
  }
  return { row, stored }
}

/** Erases words and salt; does nothing where they are gone already. */
export async function eraseWords(
  pool: pg.Pool,
  decided: Decided,
  /** 16 random bytes. */
  blind: Buffer,
): Promise<StoredEntry | undefined> {
  const { id, firmId, testId, programId, at } = decided
  const about = { ...wireOf(decided), blind: blind.toString('hex') }
  const entry = sealed({ kind: 'finding-decision-erased', ...about })
  const values = [id, firmId, testId, programId, at]
  return callAppending(pool, { name: 'erase_decision', values }, entry)
}

const wireOf = ({ id, firmId, testId, programId, at }: Decided) => ({
  v: 1 as const,
  at: at.toISOString(),
  firm: toWire('firm', firmId),
  subject: toWire('test', testId),
  program: toWire('program', programId),
  decision: toWire('decision', id),
})
