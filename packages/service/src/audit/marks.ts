/** The marks of readings, by which tests to compare are found, against the sheets they are made of. */
import type { Sheet } from '@liftledger/calc'
import { toWire } from '../http/ids.ts'
import { windowsOf } from '../record-findings/windows.ts'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'

interface MarksRow {
  readonly of: string
  readonly marks: readonly string[]
}

const MARKS = 'reading_window'
const OF_TESTS = `select comparison.test_id::text as of, array_agg(mark.hash::text) as marks
  from ll.reading_window mark join ll.record_comparison comparison on comparison.ordinal = mark.ordinal
  group by comparison.test_id order by comparison.test_id`
const STRAY = `select mark.hash::text, mark.ordinal::text from ll.reading_window mark
  where not exists (select from ll.record_comparison comparison where comparison.ordinal = mark.ordinal)`

/** The marks of each test that was compared, ordered by the test. */
export const marksStream = (reader: RecordReader) => reader.rows<MarksRow>(MARKS, OF_TESTS)

export function checkMarks(all: {
  readonly of: string
  readonly marks: readonly MarksRow[]
  readonly comparison: { readonly ordinal: string } | undefined
  readonly test: { readonly raw: Buffer } | undefined
  readonly reader: RecordReader
  readonly report: Report
}): void {
  const { of, comparison, test, reader, report } = all
  if (comparison === undefined || test === undefined || reader.broken.has(MARKS)) return
  const due = dueMarks(test.raw)
  // What is no sheet any more is told of as such.
  if (due === undefined) return
  const stored = new Set(all.marks.flatMap(({ marks }) => marks))
  const tell = (mark: string, what: string): void =>
    report({
      code: 'comparison-marks-wrong',
      table: MARKS,
      row: `${mark}/${comparison.ordinal}`,
      message: `Test ${toWire('test', of)}: a mark of its readings ${what}.`,
      or: [
        { table: 'field_test', row: of, column: 'raw' },
        { table: 'record_comparison', row: of, column: 'ordinal' },
      ],
    })
  for (const mark of [...due].filter((one) => !stored.has(one)))
    tell(mark, 'is gone: later tests with the same readings would not be found')
  for (const mark of [...stored].filter((one) => !due.has(one))) tell(mark, 'is stored that the sheet does not give')
}

function dueMarks(raw: Buffer): Set<string> | undefined {
  try {
    return new Set(windowsOf(JSON.parse(raw.toString('utf8')) as Sheet))
  } catch {
    return undefined
  }
}

/** Marks that belong to no test. */
export async function checkStrayMarks(reader: RecordReader, report: Report): Promise<void> {
  for await (const { hash, ordinal } of reader.rows<{ hash: string; ordinal: string }>(MARKS, STRAY)) {
    const message = `A mark of readings is stored for the test that was compared as number ${ordinal}, and there is none.`
    report({ code: 'comparison-marks-wrong', table: MARKS, row: `${hash}/${ordinal}`, message })
  }
}
