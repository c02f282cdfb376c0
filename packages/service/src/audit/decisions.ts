/** Decisions on findings against their entries. Of erased words the salt is gone: their hash can only be compared. */
import { entryBytes, type FindingDecisionEntry, leafHash, sha256, toHex } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { TABLE as ENTRIES, ofKind, type Placed, uuidIn } from './entries.ts'
import type { AuditCode, Report } from './findings.ts'
import { inMicroseconds, type RecordReader } from './rows.ts'

export interface DecisionRow {
  readonly of: string
  readonly id: string
  readonly firm_id: string
  readonly program_id: string
  readonly finding: string
  readonly run: number | null
  readonly place: string
  readonly turn: number
  readonly outcome: string
  readonly sha256: Buffer
  readonly salt: Buffer | null
  readonly words: Buffer | null
  readonly leaf_hash: Buffer
  readonly decided_at: string | null
  readonly erased_at: string | null
}

interface DecisionsOfTest {
  readonly decisions: readonly DecisionRow[]
  readonly entries: readonly Placed[]
  readonly reader: RecordReader
  readonly report: Report
}

const TABLE = 'finding_decision'

interface Made {
  readonly entry: FindingDecisionEntry
  readonly turn: number
}

export function checkDecisions({ decisions, entries, reader, report }: DecisionsOfTest): void {
  const made = withTurns(ofKind(entries, 'finding-decision'))
  const erasures = ofKind(entries, 'finding-decision-erased')
  for (const { entry } of made) {
    const id = uuidIn('decision', entry.decision)
    if (decisions.some((row) => row.id === id) || reader.broken.has(TABLE)) continue
    const message = `Decision ${entry.decision} on test ${entry.subject} is gone, and an entry records it.`
    report({ code: 'entry-without-row', table: TABLE, row: id, message })
  }
  for (const { index, entry } of erasures) {
    if (made.some((one) => one.entry.decision === entry.decision)) continue
    const message = `Entry ${index} says that the words of decision ${entry.decision} were erased, which no entry records.`
    report({ code: 'decision-erased-unrecorded', table: ENTRIES, row: String(index), message })
  }
  for (const row of decisions) {
    const wire = toWire('decision', row.id)
    const one = made.find(({ entry }) => entry.decision === wire)
    const erased = erasures.find(({ entry }) => entry.decision === wire)?.entry.at
    if (one !== undefined) checkDecision(row, { ...one, erased, report })
    else if (!reader.broken.has(ENTRIES)) {
      const message = `Decision ${wire} is stored, and no entry records it with this test.`
      report({ code: 'decision-without-entry', table: TABLE, row: row.id, column: 'test_id', message })
    }
  }
}

/** Decisions of one program on one finding are counted in the order of their entries. */
function withTurns(entries: readonly Placed<FindingDecisionEntry>[]): Made[] {
  const counts = new Map<string, number>()
  return entries.map(({ entry }) => {
    const about = JSON.stringify([entry.program, entry.finding, entry.run, entry.place])
    const turn = (counts.get(about) ?? 0) + 1
    counts.set(about, turn)
    return { entry, turn }
  })
}

type Judged = Made & { readonly erased: string | undefined; readonly report: Report }

function checkDecision(row: DecisionRow, { entry, turn, erased, report }: Judged): void {
  const tell = (code: AuditCode, column: string, message: string): void =>
    report({ code, table: TABLE, row: row.id, column, message: `Decision ${entry.decision}: ${message}` })
  const due: [column: string, found: unknown, said: unknown][] = [
    ['firm_id', toWire('firm', row.firm_id), entry.firm],
    ['program_id', toWire('program', row.program_id), entry.program],
    ['finding', row.finding, entry.finding],
    ['run', row.run ?? undefined, entry.run],
    ['place', row.place, entry.place],
    ['turn', row.turn, turn],
    ['outcome', row.outcome, entry.outcome],
    ['sha256', row.sha256.toString('hex'), entry.wordsSha256],
    ['leaf_hash', row.leaf_hash.toString('hex'), toHex(leafHash(entryBytes(entry)))],
    ['decided_at', row.decided_at, inMicroseconds(entry.at)],
  ]
  for (const [column, found, said] of due) {
    if (found !== said)
      tell('decision-changed', column, `${column} is ${found ?? 'empty'}, and its entry says ${said ?? 'nothing'}.`)
  }
  const code = 'decision-erased-unrecorded'
  const at = erased === undefined ? null : inMicroseconds(erased)
  if (row.erased_at !== at)
    tell(code, 'erased_at', `its words were erased at ${row.erased_at ?? 'no time'}; the ledger says ${at ?? 'never'}.`)
  for (const column of ['salt', 'words'] as const) {
    if ((row[column] === null) === (erased !== undefined)) continue
    tell(code, column, `its ${column} is ${row[column] === null ? 'gone' : 'there'}, which the ledger does not say.`)
  }
  if (row.salt === null || row.words === null) return
  if (toHex(sha256(row.salt, row.words)) !== entry.wordsSha256) {
    tell('decision-changed', 'words', 'words and salt do not have the hash that was recorded.')
  }
}
