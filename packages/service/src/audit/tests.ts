/** Reads every test with all that is recorded of it, side by side, and holds it against its entries in the ledger. */
import { fromWire } from '../http/ids.ts'
import { type ClosureRow, checkClosures } from './closures.ts'
import { checkComparisons, checkOrder, comparedUpTo, comparisonStreams } from './comparisons.ts'
import { checkDecisions, type DecisionRow } from './decisions.ts'
import { type Derive, FIGURE_COLUMNS } from './derive.ts'
import { checkDocuments, type DocumentRow } from './documents.ts'
import { ofKind, type Placed, RECORDINGS, readEntry, TABLE } from './entries.ts'
import type { Report } from './findings.ts'
import { checkKeys, type KeyRow } from './keys.ts'
import { checkMarks, checkStrayMarks, marksStream } from './marks.ts'
import { merged } from './merge.ts'
import { checkNotes, type NoteRow } from './notes.ts'
import { instant, type RecordReader } from './rows.ts'
import { checkTest, type TestRow } from './test-row.ts'

interface EntryOfTest {
  readonly of: string
  readonly index: string
  readonly entry: Buffer
}

const ENTRIES = `select subject::text as of, index::text, entry from ll.ledger_entry
  where subject is not null order by subject, ledger_entry.index`

/** Plant and tester by the codes they are registered under; the row of the version that a revision replaces. */
const TESTS = `select t.id::text as of, t.firm_id::text, t.plant_id::text, t.tester_id::text, t.tested_on::text,
    ${instant('t.received_at')} as received_at, t.edition, t.raw, t.raw_sha256, t.salt, t.context_sha256,
    t.evaluation_sha256, t.soundness, t.findings::text, ${FIGURE_COLUMNS.map((column) => `t.${column}`).join(', ')},
    t.revision, t.revision_of::text, earlier.revision as earlier_revision,
    c.body as context, c.plant_id::text as context_plant, plant.code::text as plant_code,
    tester.code::text as tester_code, tester.firm_id::text as tester_firm
  from ll.field_test t
  left join ll.context_snapshot c on c.firm_id = t.firm_id and c.sha256 = t.context_sha256
  left join ll.plant plant on plant.id = t.plant_id
  left join ll.tester tester on tester.id = t.tester_id
  left join ll.field_test earlier on earlier.id = t.revision_of
  order by t.id`

const NOTES = `select test_id::text as of, id::text, firm_id::text, sha256, salt, body,
    ${instant('created_at')} as created_at, ${instant('erased_at')} as erased_at
  from ll.test_note order by test_id, test_note.id`

const CLOSURE = `test_id::text, firm_id::text, how, reason, ${instant('closed_at')} as closed_at`
const SUPERSEDING = `select successor::text as of, ${CLOSURE}
  from ll.test_closure where successor is not null order by successor, test_closure.test_id`
const WITHDRAWN = `select test_id::text as of, ${CLOSURE}
  from ll.test_closure where successor is null order by test_closure.test_id`

const DECISIONS = `select test_id::text as of, id::text, firm_id::text, program_id::text, finding, run, place, turn,
    outcome, sha256, salt, words, leaf_hash, ${instant('decided_at')} as decided_at,
    ${instant('erased_at')} as erased_at
  from ll.finding_decision order by test_id, finding_decision.id`

const DOCUMENTS = `select test_id::text as of, firm_id::text, encoding, body
  from ll.evaluation_document order by evaluation_document.test_id`

const KEYS = `select resource_id::text as of, firm_id::text, key, fingerprint, operation, status
  from ll.idempotency order by resource_id nulls first, firm_id, key`

/** What a row may lack: by its nature, by what it is joined to, or as a time that has no date. */
const OPTIONAL = {
  tests: [
    ...FIGURE_COLUMNS,
    ...['revision_of', 'earlier_revision', 'received_at', 'context', 'context_plant'],
    ...['plant_code', 'tester_code', 'tester_firm'],
  ],
  notes: ['salt', 'body', 'created_at', 'erased_at'],
  closures: ['closed_at'],
  decisions: ['run', 'salt', 'words', 'decided_at', 'erased_at'],
  keys: ['of'],
}

export interface TestCounts {
  tests: number
  notes: number
  decisions: number
  /** Tests that were compared with the record. */
  comparisons: number
  /** Notes and words of decisions that were erased, and their salt with them. */
  erased: number
  documents: number
  keys: number
}

export async function auditTests(reader: RecordReader, report: Report, derive: Derive): Promise<TestCounts> {
  const counts: TestCounts = { tests: 0, notes: 0, decisions: 0, comparisons: 0, erased: 0, documents: 0, keys: 0 }
  const streams = {
    entries: reader.rows<EntryOfTest>(TABLE, ENTRIES),
    tests: reader.rows<TestRow>('field_test', TESTS, OPTIONAL.tests),
    notes: reader.rows<NoteRow>('test_note', NOTES, OPTIONAL.notes),
    superseding: reader.rows<ClosureRow>('test_closure', SUPERSEDING, OPTIONAL.closures),
    withdrawn: reader.rows<ClosureRow>('test_closure', WITHDRAWN, OPTIONAL.closures),
    decisions: reader.rows<DecisionRow>('finding_decision', DECISIONS, OPTIONAL.decisions),
    documents: reader.rows<DocumentRow>('evaluation_document', DOCUMENTS),
    keys: reader.rows<KeyRow>('idempotency', KEYS, OPTIONAL.keys),
    ...comparisonStreams(reader),
    marks: marksStream(reader),
  }
  const reached = await comparedUpTo(reader)
  for await (const { of, ...found } of merged(streams)) {
    const { tests, notes, decisions, keys } = found
    const entries = readEntries(of, found.entries)
    const [recording] = ofKind(entries, ...RECORDINGS)
    const [test] = tests
    const shared = { of, entries, reader, report }
    checkTest({ ...shared, tests, derive })
    checkClosures({ ...shared, superseding: found.superseding, withdrawn: found.withdrawn })
    checkNotes({ ...shared, notes })
    checkDecisions({ ...shared, decisions })
    const { comparisons, found: foundBeside, bases } = found
    checkComparisons({ ...shared, comparisons, found: foundBeside, bases, recording, test, reached })
    checkMarks({ ...shared, marks: found.marks, comparison: comparisons[0], test })
    checkDocuments({ ...shared, documents: found.documents, test, recorded: recording?.entry.evaluationSha256 })
    checkKeys({ ...shared, keys, test, recording: recording?.entry })
    counts.tests += tests.length
    counts.notes += notes.length
    counts.decisions += decisions.length
    counts.comparisons += comparisons.length
    counts.erased += [...notes, ...decisions].filter(({ erased_at }) => erased_at !== null).length
    counts.documents += found.documents.length
    counts.keys += keys.length
  }
  await checkOrder(reader, report)
  await checkStrayMarks(reader, report)
  return counts
}

/** The entries about a test. Those that are none were told of when the log was read. */
function readEntries(of: string, rows: readonly EntryOfTest[]): Placed[] {
  return rows.flatMap(({ index, entry: bytes }) => {
    const entry = readEntry(bytes)
    const isAbout = entry !== undefined && 'subject' in entry && fromWire('test', entry.subject) === of
    return isAbout ? [{ index: Number(index), entry }] : []
  })
}
