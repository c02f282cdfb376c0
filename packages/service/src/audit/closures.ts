/** What closed a test, a later version or its withdrawal, against the entry that says so. */
import type { RecordedEntry } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { TABLE as ENTRIES, ofKind, type Placed, uuidIn } from './entries.ts'
import type { Report } from './findings.ts'
import { inMicroseconds, type RecordReader } from './rows.ts'

export interface ClosureRow {
  /** The version that took the test's place; of a withdrawal the test itself. */
  readonly of: string
  readonly test_id: string
  readonly firm_id: string
  readonly how: string
  readonly reason: string
  readonly closed_at: string | null
}

interface ClosuresOfTest {
  readonly of: string
  /** That this test took another's place, and that it was taken back. */
  readonly superseding: readonly ClosureRow[]
  readonly withdrawn: readonly ClosureRow[]
  readonly entries: readonly Placed[]
  readonly reader: RecordReader
  readonly report: Report
}

type Closing = Extract<RecordedEntry, { kind: 'revision' | 'withdrawal' }>

const TABLE = 'test_closure'

export function checkClosures({ of, superseding, withdrawn, entries, reader, report }: ClosuresOfTest): void {
  const pairs = [
    { rows: superseding, entry: ofKind(entries, 'revision')[0], how: 'superseded' },
    { rows: withdrawn, entry: ofKind(entries, 'withdrawal')[0], how: 'withdrawn' },
  ]
  for (const { rows, entry, how } of pairs) {
    if (entry !== undefined && rows.length === 0 && !reader.broken.has(TABLE)) {
      const row = closedBy(entry.entry)
      const message = `Test ${toWire('test', row)} was ${how} by entry ${entry.index}; that it was closed is not there.`
      report({ code: 'entry-without-row', table: TABLE, row, message })
    }
    for (const [place, row] of rows.entries()) {
      if (entry !== undefined && place === 0) checkClosure(row, { entry: entry.entry, how, report })
      else if (!reader.broken.has(ENTRIES)) {
        const message = `Test ${toWire('test', row.test_id)} is closed by ${toWire('test', of)}, and no entry says so.`
        report({ code: 'closure-without-entry', table: TABLE, row: row.test_id, message })
      }
    }
  }
}

const closedBy = (entry: Closing): string => uuidIn('test', entry.kind === 'revision' ? entry.revises : entry.subject)

function checkClosure(row: ClosureRow, { entry, how, report }: { entry: Closing; how: string; report: Report }): void {
  const due: [column: string, found: unknown, said: unknown][] = [
    ['test_id', row.test_id, closedBy(entry)],
    ['firm_id', toWire('firm', row.firm_id), entry.firm],
    ['how', row.how, how],
    ['reason', row.reason, entry.reason],
    ['closed_at', row.closed_at, inMicroseconds(entry.at)],
  ]
  for (const [column, found, said] of due) {
    if (found === said) continue
    const message = `Closing of test ${toWire('test', row.test_id)}: ${column} is ${found}, and its entry says ${said}.`
    report({ code: 'closure-changed', table: TABLE, row: row.test_id, column, message })
  }
}
