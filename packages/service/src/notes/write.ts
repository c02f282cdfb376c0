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
import { sealed } from '../ledger/append.ts'
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
): Promise<NoteRow> {
  const body = Buffer.from(canonicalBytes(content))
  const hash = sha256(salt, body)
  const entry = sealed({ kind: 'note', ...wireOf({ id, firmId, testId, at }), noteSha256: hash.toString('hex') })
  await pool.query({
    name: 'write_note',
    text: 'select ll.write_note($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)',
    values: [id, firmId, testId, hash, salt, body, keyId, at, entry.bytes, entry.leaf],
  })
  return { id, test_id: testId, created_at: at, sha256: hash, salt, body, erased_at: null }
}

/** Erases text and salt; does nothing where they are gone already. */
export async function eraseNote(
  pool: pg.Pool,
  { id, firmId, testId, at }: Noted,
  /** 16 random bytes. */
  blind: Buffer,
): Promise<void> {
  const about = wireOf({ id, firmId, testId, at })
  const entry = sealed({ kind: 'note-erased', ...about, blind: blind.toString('hex') })
  await pool.query({
    name: 'erase_note',
    text: 'select ll.erase_note($1, $2, $3, $4, $5, $6)',
    values: [id, firmId, testId, at, entry.bytes, entry.leaf],
  })
}

const wireOf = ({ id, firmId, testId, at }: Noted) => ({
  v: 1 as const,
  at: at.toISOString(),
  firm: toWire('firm', firmId),
  subject: toWire('test', testId),
  note: toWire('note', id),
})
