/** What comparing tests with the record found, against the entry of each comparison. Comparing again is no part of it. */
import {
  basisSha256,
  NotCanonicalError,
  type RecordFindingText,
  recordFindingsBytes,
  sha256Hex,
} from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { TABLE as ENTRIES, ofKind, type Placed, type Recording } from './entries.ts'
import type { AuditFinding, Place, Report } from './findings.ts'
import { inMicroseconds, instant, type RecordReader } from './rows.ts'

interface ComparisonRow {
  readonly of: string
  readonly firm_id: string
  readonly plant_id: string
  readonly ordinal: string
  readonly ledger_index: string
  readonly edition: string
  readonly sha256: Buffer
  readonly salt: Buffer
  readonly rejects: number
  readonly holds: number
  readonly cautions: number
  readonly notes: number
  readonly compared_at: string | null
}

interface FoundRow {
  readonly of: string
  readonly n: number
  readonly firm_id: string
  readonly finding: string
  readonly severity: string
  readonly run: number | null
  readonly place: string
  readonly message: string
  readonly remedy: string
  /** JSON as stored. */
  readonly figures: string
  readonly limits: string
  readonly basis_sha256: Buffer
}

interface BasisRow {
  readonly of: string
  readonly n: number
  readonly firm_id: string
  readonly against: readonly string[]
  readonly figures: string
}

const COMPARISONS = `select test_id::text as of, firm_id::text, plant_id::text, ordinal::text, ledger_index::text, edition, sha256, salt,
    rejects, holds, cautions, notes, ${instant('compared_at')} as compared_at
  from ll.record_comparison order by record_comparison.test_id`
const FOUND = `select test_id::text as of, n, firm_id::text, finding, severity, run, place, message, remedy,
    figures::text, limits::text, basis_sha256
  from ll.record_finding order by record_finding.test_id, n`
const BASES = `select test_id::text as of, n, firm_id::text, against::text[] as against, figures::text
  from ll.record_finding_basis order by record_finding_basis.test_id, n`

const COMPARISON = 'record_comparison'
const FINDING = 'record_finding'
const BASIS = 'record_finding_basis'

/** The rows, ordered by their test. */
export const comparisonStreams = (reader: RecordReader) => ({
  comparisons: reader.rows<ComparisonRow>(COMPARISON, COMPARISONS, ['compared_at']),
  found: reader.rows<FoundRow>(FINDING, FOUND, ['run']),
  bases: reader.rows<BasisRow>(BASIS, BASES),
})

interface ComparisonsOfTest {
  readonly of: string
  readonly comparisons: readonly ComparisonRow[]
  readonly found: readonly FoundRow[]
  readonly bases: readonly BasisRow[]
  /** The entry and the row of the test. */
  readonly recording: Placed<Recording> | undefined
  readonly test: { readonly plant_id: string; readonly raw: Buffer; readonly raw_sha256: Buffer } | undefined
  /** The last entry whose test was compared. */
  readonly reached: number
  readonly entries: readonly Placed[]
  readonly reader: RecordReader
  readonly report: Report
}

export function checkComparisons(all: ComparisonsOfTest): void {
  const { of, comparisons, found, bases, entries, reader, report } = all
  const [placed, ...more] = ofKind(entries, 'record-findings')
  const [row] = comparisons
  const place = { table: COMPARISON, row: of }
  const wire = toWire('test', of)
  for (const { index } of more) {
    const message = `Test ${wire} was compared a second time, by entry ${index}.`
    report({ code: 'entry-twice', table: ENTRIES, row: String(index), message, or: [place] })
  }
  if (row === undefined) {
    if (placed !== undefined && !reader.broken.has(COMPARISON)) {
      const message = `That test ${wire} was compared is gone; entry ${placed.index} recorded it.`
      report({ code: 'entry-without-row', ...place, message })
    }
    for (const { n } of placed === undefined ? found : []) {
      const message = `A finding from the record is stored of test ${wire}, which was not compared.`
      report({ code: 'comparison-without-entry', table: FINDING, row: `${of}/${n}`, message })
    }
    if (placed === undefined) checkLeftOut(all)
  } else if (placed === undefined) {
    if (reader.broken.has(ENTRIES)) return
    const message = `Test ${wire} is stored as compared, and no entry records it.`
    report({ code: 'comparison-without-entry', ...place, message })
  } else {
    checkComparison(row, all, placed)
    checkBases(row, all)
  }
  for (const { n } of bases) {
    if (found.some((one) => one.n === n) || reader.broken.has(FINDING)) continue
    const message = `Test ${wire}: there is something that a finding rests on, and no such finding.`
    report({ code: 'comparison-without-entry', table: BASIS, row: `${of}/${n}`, message, or: findingRow(of, n) })
  }
}

/** Tests are compared in the order of the ledger. One whose sheet is not the one received can't be, and is told of for that. */
function checkLeftOut({ of, recording, test, reached, report }: ComparisonsOfTest): void {
  if (recording === undefined || test === undefined || recording.index >= reached) return
  if (!sha256(test.raw).equals(test.raw_sha256)) return
  const message = `Test ${toWire('test', of)} was not compared with the record, and later ones were: what was stored of it, or of a test it is compared with, may have been other at that time, or comparing it failed.`
  report({ code: 'comparison-left-out', table: COMPARISON, row: of, message })
}

/** The last entry of the ledger whose test was compared; -1 where none was. */
export async function comparedUpTo(reader: RecordReader): Promise<number> {
  const sql = 'select coalesce(max(ledger_index), -1)::text as reached from ll.record_comparison'
  const [row] = await reader.all<{ reached: string }>(COMPARISON, sql)
  return Number(row?.reached ?? -1)
}

const findingRow = (of: string, n: number): Place[] => [{ table: FINDING, row: `${of}/${n}` }]

/** Reports that something is another than was recorded. */
type Tell = (place: Place, message: string, or?: readonly Place[]) => void
const tellBy =
  (report: Report, of: string): Tell =>
  (place, message, or) => {
    const finding: AuditFinding = {
      code: 'comparison-changed',
      ...place,
      message: `Test ${toWire('test', of)}: ${message}`,
    }
    report(or === undefined ? finding : { ...finding, or })
  }

function checkComparison(
  row: ComparisonRow,
  { of, found, recording, test, report }: ComparisonsOfTest,
  { entry }: ReturnType<typeof ofKind<'record-findings'>>[number],
): void {
  const tell = tellBy(report, of)
  const counted = (severity: string): number => found.filter((one) => one.severity === severity).length
  const due: [column: string, stored: unknown, said: unknown][] = [
    ['firm_id', toWire('firm', row.firm_id), entry.firm],
    ['plant_id', row.plant_id, test?.plant_id ?? row.plant_id],
    ['ledger_index', Number(row.ledger_index), entry.before],
    ['ledger_index', Number(row.ledger_index), recording?.index ?? entry.before],
    ['edition', row.edition, entry.edition],
    ['sha256', row.sha256.toString('hex'), entry.findingsSha256],
    ['compared_at', row.compared_at, inMicroseconds(entry.at)],
    ['rejects', row.rejects, counted('reject')],
    ['holds', row.holds, counted('hold')],
    ['cautions', row.cautions, counted('caution')],
    ['notes', row.notes, counted('note')],
  ]
  for (const [column, stored, said] of due) {
    if (stored !== said)
      tell(
        { table: COMPARISON, row: of, column },
        `${column} of its comparison is ${stored ?? 'empty'}; it was ${said}.`,
      )
  }
  for (const { n, firm_id } of found) {
    if (firm_id !== row.firm_id)
      tell(
        { table: FINDING, row: `${of}/${n}`, column: 'firm_id' },
        'a finding from the record is stored as another firm’s.',
      )
  }
  const places = [...found.flatMap(({ n }) => findingRow(of, n)), { table: COMPARISON, row: of, column: 'salt' }]
  const numbered = found.every(({ n }, place) => n === place)
  if (!numbered) tell(places[0]!, 'its findings from the record are not numbered in a row.', places)
  if (hashOf(row, found, entry) === entry.findingsSha256) return
  tell(places[0]!, 'its findings from the record, with their salt, do not have the hash that was recorded.', places)
}

/** Undefined where a row holds what no JSON does. */
function hashOf(
  { of, salt }: ComparisonRow,
  found: readonly FoundRow[],
  { before, edition }: { readonly before: number; readonly edition: string },
): string | undefined {
  const textOf = ({ finding, run, figures, limits, basis_sha256, ...row }: FoundRow): RecordFindingText => ({
    id: finding,
    ...{ severity: row.severity, place: row.place, message: row.message, remedy: row.remedy },
    ...(run !== null && { run }),
    values: JSON.parse(figures) as unknown[],
    limits: JSON.parse(limits) as unknown[],
    basisSha256: basis_sha256.toString('hex'),
  })
  return canonically(() =>
    sha256Hex(salt, recordFindingsBytes({ test: toWire('test', of), before, edition, findings: found.map(textOf) })),
  )
}

function canonically(hash: () => string): string | undefined {
  try {
    return hash()
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof NotCanonicalError) return undefined
    throw error
  }
}

function checkBases(
  { salt, firm_id: firm }: ComparisonRow,
  { of, found, bases, reader, report }: ComparisonsOfTest,
): void {
  const tell = tellBy(report, of)
  for (const { n, basis_sha256 } of found) {
    const basis = bases.find((one) => one.n === n)
    const place = { table: BASIS, row: `${of}/${n}` }
    if (basis === undefined) {
      if (reader.broken.has(BASIS)) continue
      const message = `Test ${toWire('test', of)}: what a finding from the record rests on is gone.`
      report({ code: 'entry-without-row', ...place, message, or: findingRow(of, n) })
      continue
    }
    if (basis.firm_id !== firm)
      tell({ ...place, column: 'firm_id' }, 'what a finding rests on is stored as another firm’s.')
    const against = basis.against.map((id) => toWire('test', id))
    const own = canonically(() => basisSha256(salt, { against, values: JSON.parse(basis.figures) as unknown[] }))
    if (own === basis_sha256.toString('hex')) continue
    tell(place, 'what a finding from the record rests on does not have the hash that was recorded.', [
      ...findingRow(of, n),
      { table: COMPARISON, row: of, column: 'salt' },
    ])
  }
}

/** Comparisons are counted in the order of the ledger, from 0 and without a gap. */
export async function checkOrder(reader: RecordReader, report: Report): Promise<void> {
  const sql = `select of, ordinal::text, due::text from (
      select test_id::text as of, ordinal, row_number() over (order by ledger_index, test_id) - 1 as due
      from ll.record_comparison) counted where ordinal <> due order by due`
  for await (const { of, ordinal, due } of reader.rows<{ of: string; ordinal: string; due: string }>(COMPARISON, sql)) {
    const message = `Test ${toWire('test', of)} was compared as number ${due} in the order of the ledger, and stands as ${ordinal}.`
    report({ code: 'comparison-changed', table: COMPARISON, row: of, column: 'ordinal', message })
  }
}
