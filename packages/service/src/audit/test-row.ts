/** One test: its row, its sheet and context, and what evaluating them again gives, against its entry in the ledger. */
import { sha256, toHex } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { DERIVED_COLUMNS, type Derive, type Derived, type DerivedColumn, floatText, UnknownEdition } from './derive.ts'
import { ofKind, type Placed, RECORDINGS, type Recording, TABLE, uuidIn } from './entries.ts'
import type { AuditFinding, Place, Report } from './findings.ts'
import { inMicroseconds, type RecordReader } from './rows.ts'

export interface TestRow extends Readonly<Record<Exclude<DerivedColumn, 'soundness' | 'findings'>, number | null>> {
  readonly of: string
  readonly firm_id: string
  readonly plant_id: string
  readonly tester_id: string
  readonly tested_on: string
  readonly received_at: string | null
  readonly edition: string
  readonly raw: Buffer
  readonly raw_sha256: Buffer
  readonly salt: Buffer
  readonly context_sha256: Buffer
  readonly evaluation_sha256: Buffer
  readonly soundness: string
  readonly findings: string
  readonly revision: number
  readonly revision_of: string | null
  readonly earlier_revision: number | null
  readonly context: Buffer | null
  readonly context_plant: string | null
  readonly plant_code: string | null
  readonly tester_code: string | null
  readonly tester_firm: string | null
}

interface OneTest {
  readonly of: string
  readonly tests: readonly TestRow[]
  readonly entries: readonly Placed[]
  readonly reader: RecordReader
  readonly report: Report
  readonly derive: Derive
}

/** Reports about the test at hand. */
type Tell = (code: AuditFinding['code'], column: string, message: string, or?: readonly Place[]) => void

export function checkTest({ of, tests, entries, reader, report, derive }: OneTest): void {
  const recordings = ofKind(entries, ...RECORDINGS)
  const [recording, ...more] = recordings
  const [row] = tests
  const name = `Test ${toWire('test', of)}`
  const place = { table: 'field_test', row: of }
  for (const { index } of more) {
    const message = `${name} is recorded a second time, by entry ${index}.`
    report({ code: 'entry-twice', table: TABLE, row: String(index), message, or: [place] })
  }
  if (row === undefined) {
    if (recording !== undefined && !reader.broken.has('field_test')) {
      report({ code: 'entry-without-row', ...place, message: `${name} is gone; entry ${recording.index} recorded it.` })
    }
    return
  }
  if (recording === undefined) {
    if (reader.broken.has(TABLE)) return
    report({ code: 'test-without-entry', ...place, message: `${name} is stored, and no entry records it.` })
    return
  }
  const tell: Tell = (code, column, message, or) =>
    report({ code, ...place, column, message: `${name}: ${message}`, ...(or !== undefined && { or }) })
  checkEntered(row, recording.entry, tell)
  const hashes = checkBytes(row, recording.entry, tell, report)
  if (hashes) checkEvaluated(row, recording.entry, derive, tell)
}

/** What entry and row both say. */
function checkEntered(row: TestRow, entry: Recording, tell: Tell): void {
  const revises = entry.kind === 'revision' ? uuidIn('test', entry.revises) : null
  const revision = revises === null ? 1 : (row.earlier_revision ?? 0) + 1
  const due: [column: string, found: unknown, said: unknown][] = [
    ['firm_id', toWire('firm', row.firm_id), entry.firm],
    ['received_at', row.received_at, inMicroseconds(entry.at)],
    ['edition', row.edition, entry.edition],
    ['revision_of', row.revision_of, revises],
    ['revision', row.revision, revision],
  ]
  for (const [column, found, said] of due) {
    if (found === said) continue
    // A version is one more than the one it replaces, so a wrong number there shows here.
    const or = column === 'revision' && revises !== null ? [{ table: 'field_test', row: revises, column }] : undefined
    tell(
      'test-not-as-entered',
      column,
      `${column} is ${found ?? 'empty'}, and its entry says ${said ?? 'nothing'}.`,
      or,
    )
  }
}

const hexOf = (...parts: Uint8Array[]): string => toHex(sha256(...parts))

/** Salted hashes against the entry, plain ones against the bytes. Answers whether sheet and context are as received. */
function checkBytes(row: TestRow, entry: Recording, tell: Tell, report: Report): boolean {
  const rawRight = hexOf(row.salt, row.raw) === entry.rawSha256
  const plainRight = hexOf(row.raw) === row.raw_sha256.toString('hex')
  const contextRight = row.context === null ? undefined : hexOf(row.salt, row.context) === entry.contextSha256
  if (!rawRight) {
    // Sheet and hash of it fit, and neither salted hash does: the salt is what both have in common.
    const column = plainRight && contextRight === false ? 'salt' : 'raw'
    tell('test-not-as-received', column, `${column === 'salt' ? 'the salt' : 'the sheet'} is not the one recorded.`)
  }
  if (!plainRight)
    tell('test-hash-wrong', 'raw_sha256', 'the hash of the sheet is not that of its bytes.', [
      { table: 'field_test', row: row.of, column: 'raw' },
    ])
  const contextHash = row.context_sha256.toString('hex')
  const snapshot = { table: 'context_snapshot', row: `${row.firm_id}/${contextHash}` }
  if (row.context === null) {
    tell('context-missing', 'context_sha256', `the records it rests on, ${contextHash}, are not there.`, [snapshot])
  } else if (contextRight === false && rawRight) {
    const message = `The context ${contextHash} is not the one that test ${toWire('test', row.of)} was recorded with.`
    report({
      code: 'context-changed',
      ...snapshot,
      column: 'body',
      message,
      or: [{ table: 'field_test', row: row.of, column: 'context_sha256' }],
    })
  }
  return rawRight && contextRight === true
}

/** What sheet and context say and give, against the columns that repeat it. */
function checkEvaluated(row: TestRow, entry: Recording, derive: Derive, tell: Tell): void {
  let derived: Derived
  try {
    derived = derive(row.raw, row.context!, entry.edition)
  } catch (error) {
    if (error instanceof UnknownEdition) tell('edition-unknown', 'edition', `edition ${entry.edition} is not here.`)
    else tell('evaluation-differs', 'evaluation_sha256', `sheet and context can not be evaluated: ${String(error)}.`)
    return
  }
  if (hexOf(derived.canonical) !== row.evaluation_sha256.toString('hex')) {
    tell('test-hash-wrong', 'evaluation_sha256', 'the hash of the evaluation is not that of the evaluation made again.')
  }
  if (hexOf(row.salt, derived.canonical) !== entry.evaluationSha256) {
    const message = 'evaluated again it gives something else than was recorded: the calculation is another one.'
    tell('evaluation-differs', 'evaluation_sha256', message)
  }
  checkOnSheet(row, derived, tell)
  for (const column of DERIVED_COLUMNS) {
    const found = row[column]
    const text = typeof found === 'number' ? floatText(found) : found
    const due = derived.columns[column]
    if (text !== due)
      tell(
        'test-not-as-evaluated',
        column,
        `${column} is ${text ?? 'empty'}, and the evaluation gives ${due ?? 'nothing'}.`,
      )
  }
}

function checkOnSheet(row: TestRow, { sheet, context }: Derived, tell: Tell): void {
  const code = 'test-not-as-on-sheet'
  if (row.tested_on !== sheet.testedOn)
    tell(code, 'tested_on', `the day is ${row.tested_on}, on the sheet ${sheet.testedOn}.`)
  const plant = { table: 'plant', row: row.plant_id, column: 'code' }
  if (row.plant_code !== sheet.plant || row.plant_code !== context.plantCode) {
    tell(code, 'plant_id', `the plant is ${row.plant_code ?? 'none'}, on the sheet ${sheet.plant}.`, [plant])
  } else if (row.context_plant !== row.plant_id) {
    const snapshot = {
      table: 'context_snapshot',
      row: `${row.firm_id}/${row.context_sha256.toString('hex')}`,
      column: 'plant_id',
    }
    tell(code, 'plant_id', 'its context is stored as that of another plant.', [snapshot])
  }
  const tester = { table: 'tester', row: row.tester_id, column: 'code' }
  if (row.tester_code !== sheet.tester || row.tester_code !== context.testerCode || row.tester_firm !== row.firm_id) {
    tell(code, 'tester_id', `the tester is ${row.tester_code ?? 'none'}, on the sheet ${sheet.tester}.`, [tester])
  }
}
