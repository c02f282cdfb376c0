/**
 * Writes and erases notes, each with its entry in the ledger in one transaction.
 *
 * As the role that writes submissions, since only that appends to the ledger. Nothing is decided here: whoever
 * calls has seen, under the firm's own policies, that the test is the firm's; the keys of the table say so again.
 */
import { canonicalBytes } from '@liftledger/ledger'
import type pg from 'pg'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { callAppending, type StoredEntry, sealed } from '../ledger/append.ts'
import type { NoteRow } from './queries.ts'
import type { NoteContent } from './schemas.ts'

export interface Noted {
  /** UUIDs. */
  readonly id: string
  readonly firmId: string
  readonly testId: string
  readonly at: Date
}

/** Keeps the note and answers it as stored. */
export async function writeNote(
  pool: pg.Pool,
  { id, firmId, testId, at }: Noted,
  { content, salt, keyId }: { readonly content: NoteContent; readonly salt: Buffer; readonly keyId: string },
): Promise<{ readonly row: NoteRow; readonly stored: StoredEntry | undefined }> {
  const body = Buffer.from(canonicalBytes(content))
  const hash = sha256(salt, body)
  const entry = sealed({ kind: 'note', ...wireOf({ id, firmId, testId, at }), noteSha256: hash.toString('hex') })
  const values = [id, firmId, testId, hash, salt, body, keyId, at]
  const stored = await callAppending(pool, { name: 'write_note', values }, entry)
  return { row: { id, test_id: testId, created_at: at, sha256: hash, salt, body, erased_at: null }, stored }
}

/** Erases text and salt; does nothing where they are gone already. */
export async function eraseNote(
  pool: pg.Pool,
  { id, firmId, testId, at }: Noted,
  /** 16 random bytes. */
  blind: Buffer,
): Promise<StoredEntry | undefined> {
  const about = wireOf({ id, firmId, testId, at })
  const entry = sealed({ kind: 'note-erased', ...about, blind: blind.toString('hex') })
  return callAppending(pool, { name: 'erase_note', values: [id, firmId, testId, at] }, entry)
}

const wireOf = ({ id, firmId, testId, at }: Noted) => ({
  v: 1 as const,
  at: at.toISOString(),
  firm: toWire('firm', firmId),
  subject: toWire('test', testId),
  note: toWire('note', id),
})
