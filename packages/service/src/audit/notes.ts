/** Notes beside a test against their entries. Of an erased note the salt is gone: its hash can only be compared. */
import { sha256, toHex } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { ofKind, type Placed, TABLE, uuidIn } from './entries.ts'
import type { Report } from './findings.ts'
import { inMicroseconds, type RecordReader } from './rows.ts'

export interface NoteRow {
  readonly of: string
  readonly id: string
  readonly firm_id: string
  readonly sha256: Buffer
  readonly salt: Buffer | null
  readonly body: Buffer | null
  readonly created_at: string | null
  readonly erased_at: string | null
}

interface NotesOfTest {
  readonly notes: readonly NoteRow[]
  readonly entries: readonly Placed[]
  readonly reader: RecordReader
  readonly report: Report
}

const NOTE_TABLE = 'test_note'

export function checkNotes({ notes, entries, reader, report }: NotesOfTest): void {
  const written = ofKind(entries, 'note')
  const erasures = ofKind(entries, 'note-erased')
  for (const { index, entry } of written) {
    const id = uuidIn('note', entry.note)
    if (notes.some((note) => note.id === id) || reader.broken.has(NOTE_TABLE)) continue
    const message = `Note ${entry.note} of test ${entry.subject} is gone; entry ${index} recorded it.`
    report({ code: 'entry-without-row', table: NOTE_TABLE, row: id, message })
  }
  for (const { index, entry } of erasures) {
    if (written.some((one) => one.entry.note === entry.note)) continue
    const message = `Entry ${index} says that note ${entry.note} was erased, which no entry records.`
    report({ code: 'note-erased-unrecorded', table: TABLE, row: String(index), message })
  }
  for (const note of notes) {
    const wire = toWire('note', note.id)
    const entry = written.find((one) => one.entry.note === wire)?.entry
    const erased = erasures.find((one) => one.entry.note === wire)?.entry
    if (entry !== undefined) checkNote(note, { wire, entry, erased, report })
    else if (!reader.broken.has(TABLE)) {
      const message = `Note ${wire} is stored, and no entry records it with this test.`
      report({ code: 'note-without-entry', table: NOTE_TABLE, row: note.id, column: 'test_id', message })
    }
  }
}

type Recorded = {
  readonly wire: string
  readonly entry: ReturnType<typeof ofKind<'note'>>[number]['entry']
  readonly erased: ReturnType<typeof ofKind<'note-erased'>>[number]['entry'] | undefined
  readonly report: Report
}

function checkNote(note: NoteRow, { wire, entry, erased, report }: Recorded): void {
  const tell = (code: 'note-changed' | 'note-erased-unrecorded', column: string, message: string): void =>
    report({ code, table: NOTE_TABLE, row: note.id, column, message: `Note ${wire}: ${message}` })
  if (toWire('firm', note.firm_id) !== entry.firm) tell('note-changed', 'firm_id', `its firm is not ${entry.firm}.`)
  if (note.created_at !== inMicroseconds(entry.at)) {
    tell('note-changed', 'created_at', `it was written at ${entry.at}, not at ${note.created_at ?? 'no time'}.`)
  }
  if (note.sha256.toString('hex') !== entry.noteSha256) {
    tell('note-changed', 'sha256', 'its hash is not the one recorded.')
  }
  const due = erased === undefined ? null : inMicroseconds(erased.at)
  if (note.erased_at !== due) {
    tell(
      'note-erased-unrecorded',
      'erased_at',
      `it was erased at ${note.erased_at ?? 'no time'}; the ledger says ${due ?? 'never'}.`,
    )
  }
  for (const column of ['salt', 'body'] as const) {
    if ((note[column] === null) === (erased !== undefined)) continue
    tell(
      'note-erased-unrecorded',
      column,
      `its ${column} is ${note[column] === null ? 'gone' : 'there'}, which the ledger does not say.`,
    )
  }
  if (note.salt === null || note.body === null) return
  if (toHex(sha256(note.salt, note.body)) !== entry.noteSha256) {
    tell('note-changed', 'body', 'text and salt do not have the hash that was recorded.')
  }
}
