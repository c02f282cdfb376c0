/** Reads the entries in their order: no gap, each with its own hash, each spelled and labelled as it says. */
import { EntryError, equalBytes, leafHash, type RecordedEntry, recordedEntryBytes } from '@liftledger/ledger'
import { fromWire, toWire } from '../http/ids.ts'
import type { Report } from './findings.ts'
import type { RecordReader } from './rows.ts'

interface EntryRow {
  readonly index: string
  readonly leaf_hash: Buffer
  readonly entry: Buffer
  readonly kind: string
  readonly firm: string | null
  readonly subject: string | null
}

/** What the tree is held against, entry by entry. */
export interface Leaf {
  readonly index: number
  /** Made from the bytes of the entry. */
  readonly own: Uint8Array
  /** As stored beside them. */
  readonly stored: Uint8Array
  /** Undefined where the bytes are no entry. */
  readonly entry: RecordedEntry | undefined
}

export const TABLE = 'ledger_entry'

/** The kinds of entry by which a test comes in. */
export const RECORDINGS = ['test', 'revision'] as const
export type Recording = Extract<RecordedEntry, { kind: (typeof RECORDINGS)[number] }>

/** An entry about a test, read. */
export interface Placed<E extends RecordedEntry = RecordedEntry> {
  readonly index: number
  readonly entry: E
}

export const ofKind = <K extends RecordedEntry['kind']>(
  entries: readonly Placed[],
  ...kinds: readonly K[]
): Placed<Extract<RecordedEntry, { kind: K }>>[] =>
  entries.filter(({ entry }) => (kinds as readonly string[]).includes(entry.kind)) as Placed<
    Extract<RecordedEntry, { kind: K }>
  >[]

/** The entry in canonical bytes; undefined where they are none. */
export function readEntry(bytes: Buffer): RecordedEntry | undefined {
  try {
    const entry = JSON.parse(bytes.toString('utf8')) as RecordedEntry
    return equalBytes(recordedEntryBytes(entry), bytes) ? entry : undefined
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof TypeError || error instanceof EntryError) return undefined
    throw error
  }
}

/** Gives the leaves in order. A gap is reported, and reading goes on behind it. */
export async function* readLeaves(reader: RecordReader, report: Report): AsyncGenerator<Leaf> {
  const sql = `select index::text, leaf_hash, entry, kind, firm_id::text as firm, subject::text
               from ll.ledger_entry order by ledger_entry.index`
  let due = 0
  for await (const row of reader.rows<EntryRow>(TABLE, sql, ['firm', 'subject'])) {
    const index = Number(row.index)
    if (index > due) reportGap(report, due, index)
    else if (index < due) {
      report({ code: 'entry-twice', table: TABLE, row: row.index, message: `Index ${index} stands more than once.` })
      continue
    }
    due = index + 1
    const entry = readEntry(row.entry)
    checkColumns(report, row, entry)
    yield { index, own: hashOf(row.entry), stored: row.leaf_hash, entry }
  }
  await checkHead(reader, report, due)
}

function reportGap(report: Report, from: number, to: number): void {
  const row = to - from === 1 ? String(from) : `${from}..${to - 1}`
  const which = to - from === 1 ? `Entry ${from} is` : `Entries ${from} to ${to - 1} are`
  report({ code: 'entry-gap', table: TABLE, row, message: `${which} missing; the next one there is ${to}.` })
}

/** Bytes longer than an entry may be have no leaf hash; nothing stored equals what is given then. */
function hashOf(entry: Buffer): Uint8Array {
  try {
    return leafHash(entry)
  } catch {
    return new Uint8Array()
  }
}

function checkColumns(report: Report, row: EntryRow, entry: RecordedEntry | undefined): void {
  if (entry === undefined) {
    const message = `The bytes of entry ${row.index} are no entry in canonical JSON.`
    report({ code: 'entry-malformed', table: TABLE, row: row.index, column: 'entry', message })
    return
  }
  const firm = 'firm' in entry ? entry.firm : undefined
  const subject = 'subject' in entry ? entry.subject : undefined
  const due = {
    kind: [row.kind, entry.kind],
    firm_id: [wire('firm', row.firm), firm],
    subject: [wire('test', row.subject), subject],
  }
  for (const [column, [found, said]] of Object.entries(due)) {
    if (found === said) continue
    const message = `Entry ${row.index} says ${said ?? 'nothing'}; its column ${column} says ${found ?? 'nothing'}.`
    report({ code: 'entry-columns', table: TABLE, row: row.index, column, message })
  }
}

const wire = (kind: 'firm' | 'test', uuid: string | null): string | undefined =>
  uuid === null ? undefined : toWire(kind, uuid)

/** UUID of a wire id that came out of an entry. */
export const uuidIn = (kind: Parameters<typeof fromWire>[0], id: string): string => fromWire(kind, id) ?? id

async function checkHead(reader: RecordReader, report: Report, due: number): Promise<void> {
  const heads = await reader.all<{ next: string }>('ledger_head', 'select next::text from ll.ledger_head')
  if (reader.broken.has('ledger_head') || reader.broken.has(TABLE)) return
  const [head] = heads
  if (heads.length === 1 && Number(head!.next) === due) return
  const found = heads.length === 1 ? `says ${head!.next}` : `has ${heads.length} rows`
  // Entries may be missing at the end, or be too many there; then the head is right and they are the fault.
  const ends = [due, Number(head?.next ?? due)].toSorted((a, b) => a - b)
  const or = [{ table: TABLE, row: `${ends[0]}..${ends[1]! - 1}` }]
  const message = `The head of the ledger ${found}; the entries end before ${due}.`
  report({ code: 'head-wrong', table: 'ledger_head', row: 'true', column: 'next', message, or })
}
