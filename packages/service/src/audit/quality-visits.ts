/** Draws and steps of quality visits against their entries in the ledger, and each draw against its seed. */
import {
  entryBytes,
  leafHash,
  type QualityDrawEntry,
  type QualityDrawingEntry,
  type QualityVisitStepEntry,
  toHex,
} from '@liftledger/ledger'
import { fromWire, toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { drawPeopleBytes, stepBytes } from '../quality-visits/people.ts'
import { TABLE as ENTRIES, readEntry, uuidIn } from './entries.ts'
import type { Report } from './findings.ts'
import { inMicroseconds, instant, type RecordReader } from './rows.ts'

interface DrawRow {
  readonly id: string
  readonly program_id: string
  readonly terms: Buffer
  readonly terms_sha256: Buffer
  readonly seed: Buffer
  readonly seed_sha256: Buffer
  readonly announcer: string
  readonly announced_at: string
  readonly salt: Buffer
  readonly people_sha256: Buffer
  readonly leaf_hash: Buffer
  readonly ledger_index: string
  readonly drawer: string | null
  readonly drawn_at: string | null
  readonly outcome: Buffer | null
  readonly outcome_sha256: Buffer | null
  readonly drawn_salt: Buffer | null
  readonly drawn_people_sha256: Buffer | null
  readonly drawn_leaf_hash: Buffer | null
  readonly drawn_ledger_index: string | null
}

interface StepRow {
  readonly row: string
  readonly visit_id: string
  readonly turn: string
  readonly draw_id: string
  readonly program_id: string
  readonly test_id: string
  readonly plant_id: string
  readonly firm_id: string
  readonly step: string
  readonly assigned_firm: string | null
  readonly test_from: string | null
  readonly test_until: string | null
  readonly retest_id: string | null
  readonly reason: string | null
  readonly at: string
  readonly salt: Buffer | null
  readonly content_sha256: Buffer | null
  readonly leaf_hash: Buffer | null
  readonly ledger_index: string | null
  /** Of the test, as stored with it. */
  readonly plant_of_test: string | null
  readonly firm_of_test: string | null
}

const DRAW = 'quality_draw'
const STEP = 'quality_visit_step'
const DRAWN = [
  'drawer',
  'drawn_at',
  'outcome',
  'outcome_sha256',
  'drawn_salt',
  'drawn_people_sha256',
  'drawn_leaf_hash',
]
const DRAWS = `select id::text, program_id::text, terms, terms_sha256, seed, seed_sha256, announcer,
    ${instant('announced_at')} as announced_at, salt, people_sha256, leaf_hash, ledger_index::text, drawer,
    ${instant('drawn_at')} as drawn_at, outcome, outcome_sha256, drawn_salt, drawn_people_sha256, drawn_leaf_hash,
    drawn_ledger_index::text
  from ll.quality_draw order by quality_draw.id`
const MAY_LACK = ['assigned_firm', 'test_from', 'test_until', 'retest_id', 'reason', 'salt', 'content_sha256']
const STEPS = `select visit_id::text || '/' || turn as row, visit_id::text, turn::text, draw_id::text, step.program_id::text,
    test_id::text, step.plant_id::text, step.firm_id::text, step, assigned_firm::text, test_from::text, test_until::text,
    retest_id::text, reason, ${instant('at')} as at, step.salt, content_sha256, leaf_hash, ledger_index::text,
    test.plant_id::text as plant_of_test, test.firm_id::text as firm_of_test
  from ll.quality_visit_step step left join ll.field_test test on test.id = step.test_id
  order by step.visit_id, step.turn`
const KINDS = ['quality-draw', 'quality-drawing', 'quality-visit-step'] as const
// By its bytes too: a column that was changed is told of where the log is read.
const ENTRY_ROWS = `select index::text, entry from ll.ledger_entry
  where kind = any ('{${KINDS.join(',')}}') or position('"kind":"quality-'::bytea in entry) > 0 order by ledger_entry.index`

type Placed<E> = { readonly index: string; readonly entry: E }
type Due = readonly [column: string, found: string | null, said: string | null]

interface Entries {
  readonly draws: Map<string, Placed<QualityDrawEntry>>
  readonly drawings: Map<string, Placed<QualityDrawingEntry>>
  readonly steps: Map<string, Placed<QualityVisitStepEntry>>
}

async function readEntries(reader: RecordReader): Promise<Entries> {
  const entries: Entries = { draws: new Map(), drawings: new Map(), steps: new Map() }
  for await (const { index, entry: bytes } of reader.rows<{ index: string; entry: Buffer }>(ENTRIES, ENTRY_ROWS)) {
    const entry = readEntry(bytes)
    if (entry?.kind === 'quality-draw') entries.draws.set(entry.draw, { index, entry })
    else if (entry?.kind === 'quality-drawing') entries.drawings.set(entry.draw, { index, entry })
    else if (entry?.kind === 'quality-visit-step') entries.steps.set(`${entry.visit}/${entry.turn}`, { index, entry })
  }
  return entries
}

const hex = (bytes: Buffer | null): string | null => bytes?.toString('hex') ?? null
const hashed = (bytes: Buffer | null): string | null => (bytes === null ? null : sha256(bytes).toString('hex'))
const leafOf = (entry: Parameters<typeof entryBytes>[0]): string => toHex(leafHash(entryBytes(entry)))

/** Visits that the outcomes of draws name, by their wire id. */
type Visits = Map<string, { readonly draw: string; readonly test: string }>

export async function auditQualityVisits(reader: RecordReader, report: Report): Promise<number> {
  const entries = await readEntries(reader)
  const visits: Visits = new Map()
  let draws = 0
  const seen = new Set<string>()
  const drawRows = new Map<string, DrawRow>()
  for await (const row of reader.rows<DrawRow>(DRAW, DRAWS, [...DRAWN, 'drawn_ledger_index'])) {
    const wire = toWire('quality draw', row.id)
    draws += 1
    seen.add(wire)
    drawRows.set(row.id, row)
    checkDraw(row, wire, entries, report, visits, reader.broken.has(ENTRIES))
  }
  if (!reader.broken.has(DRAW)) {
    for (const { entry } of [...entries.draws.values(), ...entries.drawings.values()]) {
      if (seen.has(entry.draw)) continue
      const message = `Draw ${entry.draw} of ${entry.program} is gone, and an entry records it.`
      report({ code: 'entry-without-row', table: DRAW, row: uuidIn('quality draw', entry.draw), message })
    }
  }
  await auditSteps(reader, report, { entries, visits, drawRows })
  return draws
}

function checkDraw(
  row: DrawRow,
  wire: string,
  entries: Entries,
  report: Report,
  visits: Visits,
  withoutLog: boolean,
): void {
  const announced = entries.draws.get(wire)
  const drawing = entries.drawings.get(wire)
  const tell = (column: string, message: string, or: readonly string[] = []): void =>
    report({
      code: 'quality-draw-changed',
      table: DRAW,
      row: row.id,
      column,
      message: `Draw ${wire}: ${message}`,
      ...(or.length > 0 && { or: or.map((one) => ({ table: DRAW, row: row.id, column: one })) }),
    })
  if (announced === undefined) {
    if (withoutLog) return
    const message = `Draw ${wire} is stored, and no entry records it.`
    report({ code: 'quality-draw-without-entry', table: DRAW, row: row.id, message })
    return
  }
  const { entry } = announced
  const said = drawing?.entry
  const due: Due[] = [
    ['program_id', toWire('program', row.program_id), entry.program],
    ['terms', hashed(row.terms), entry.termsSha256],
    ['terms_sha256', hex(row.terms_sha256), entry.termsSha256],
    ['seed', hashed(row.seed), entry.seedSha256],
    ['seed_sha256', hex(row.seed_sha256), entry.seedSha256],
    ['announced_at', row.announced_at, inMicroseconds(entry.at)],
    ['people_sha256', hex(row.people_sha256), entry.peopleSha256],
    ['leaf_hash', hex(row.leaf_hash), leafOf(entry)],
    ['ledger_index', row.ledger_index, announced.index],
    ['drawn_at', row.drawn_at, said === undefined ? null : inMicroseconds(said.at)],
    ['outcome', hashed(row.outcome), said?.outcomeSha256 ?? null],
    ['outcome_sha256', hex(row.outcome_sha256), said?.outcomeSha256 ?? null],
    ['drawn_people_sha256', hex(row.drawn_people_sha256), said?.peopleSha256 ?? null],
    ['drawn_leaf_hash', hex(row.drawn_leaf_hash), said === undefined ? null : leafOf(said)],
    ['drawn_ledger_index', row.drawn_ledger_index, drawing?.index ?? null],
  ]
  for (const [column, found, recorded] of due)
    if (found !== recorded) tell(column, `${column} is ${found ?? 'empty'}, and ${recorded ?? 'nothing'} is recorded.`)
  if (said !== undefined && sha256(Buffer.from(said.seed, 'hex')).toString('hex') !== entry.seedSha256)
    tell('seed', 'the seed that was told does not have the hash that was announced.')
  const people = sha256(row.salt, drawPeopleBytes(row.announcer)).toString('hex')
  if (people !== entry.peopleSha256) tell('announcer', 'announcer and salt do not have the recorded hash.', ['salt'])
  if (said !== undefined) {
    const both =
      row.drawer === null || row.drawn_salt === null
        ? ''
        : sha256(row.drawn_salt, drawPeopleBytes(row.announcer, row.drawer)).toString('hex')
    if (both !== said.peopleSha256)
      tell('drawer', 'announcer, drawer and salt do not have the recorded hash.', ['drawn_salt', 'announcer'])
    if (row.outcome !== null && hashed(row.outcome) === said.outcomeSha256) visitsOf(row.outcome, row.id, visits)
  }
}

function visitsOf(outcome: Buffer, draw: string, visits: Visits): void {
  const { tests } = JSON.parse(outcome.toString('utf8')) as { tests: { test: string; visit?: string }[] }
  for (const { test, visit } of tests)
    if (visit !== undefined) visits.set(visit, { draw, test: fromWire('test', test) ?? test })
}

async function auditSteps(
  reader: RecordReader,
  report: Report,
  {
    entries,
    visits,
    drawRows,
  }: { readonly entries: Entries; readonly visits: Visits; readonly drawRows: ReadonlyMap<string, DrawRow> },
): Promise<void> {
  const found = new Set<string>()
  for await (const row of reader.rows<StepRow>(STEP, STEPS, [
    ...MAY_LACK,
    'leaf_hash',
    'ledger_index',
    'plant_of_test',
    'firm_of_test',
  ])) {
    const wire = toWire('quality visit', row.visit_id)
    const place = `${wire}/${row.turn}`
    found.add(place)
    const visit = visits.get(wire)
    const own = entries.steps.get(place)
    const isDrawn = row.turn === '0'
    if (isDrawn ? visit === undefined : own === undefined) {
      if (reader.broken.has(ENTRIES) || reader.broken.has(DRAW)) continue
      const message = `Step ${row.turn} of visit ${wire} is stored, and nothing records it.`
      report({ code: 'quality-step-without-entry', table: STEP, row: row.row, message })
      continue
    }
    const draw = visit === undefined ? undefined : drawRows.get(visit.draw)
    const due: Due[] = [
      ['plant_id', row.plant_id, row.plant_of_test],
      ['firm_id', row.firm_id, row.firm_of_test],
      ...(visit === undefined
        ? []
        : ([
            ['draw_id', row.draw_id, visit.draw],
            ['test_id', row.test_id, visit.test],
          ] satisfies Due[])),
      ...(isDrawn ? dueOfDrawn(row, draw) : dueOfStep(row, own!)),
    ]
    for (const [column, there, said] of due) {
      if (there === said) continue
      const message = `Step ${row.turn} of visit ${wire}: ${column} is ${there ?? 'empty'}, and ${said ?? 'nothing'} is recorded.`
      const or = column === 'content_sha256' ? CONTENT.map((one) => ({ table: STEP, row: row.row, column: one })) : []
      report({ code: 'quality-step-changed', table: STEP, row: row.row, column, message, ...(or.length > 0 && { or }) })
    }
  }
  if (reader.broken.has(STEP)) return
  for (const place of [...entries.steps.keys(), ...[...visits.keys()].map((visit) => `${visit}/0`)]) {
    if (found.has(place)) continue
    const [visit, turn] = place.split('/')
    const row = `${uuidIn('quality visit', visit!)}/${turn}`
    report({
      code: 'entry-without-row',
      table: STEP,
      row,
      message: `Step ${turn} of visit ${visit} is gone, and it is recorded.`,
    })
  }
}

/** What is hashed together: any of them may be the one. */
const CONTENT = ['step', 'assigned_firm', 'test_from', 'test_until', 'retest_id', 'reason', 'salt']

const dueOfDrawn = (row: StepRow, draw: DrawRow | undefined): Due[] =>
  draw === undefined
    ? []
    : [
        ['program_id', row.program_id, draw.program_id],
        ['at', row.at, draw.drawn_at],
        ['step', row.step, 'drawn'],
        ...MAY_LACK.map((column): Due => [column, told(row[column as keyof StepRow]), null]),
      ]

const told = (value: Buffer | string | null): string | null =>
  value !== null && typeof value !== 'string' ? hex(value) : value

function dueOfStep(row: StepRow, { index, entry }: Placed<QualityVisitStepEntry>): Due[] {
  const content = {
    step: row.step,
    ...(row.assigned_firm !== null && { assignedFirm: toWire('firm', row.assigned_firm) }),
    ...(row.test_from !== null && { testFrom: row.test_from }),
    ...(row.test_until !== null && { testUntil: row.test_until }),
    ...(row.retest_id !== null && { retest: toWire('test', row.retest_id) }),
    ...(row.reason !== null && { reason: row.reason }),
  }
  const made = row.salt === null ? null : sha256(row.salt, stepBytes(content)).toString('hex')
  return [
    ['program_id', toWire('program', row.program_id), entry.program],
    ['at', row.at, inMicroseconds(entry.at)],
    ['content_sha256', hex(row.content_sha256), entry.contentSha256],
    ['content_sha256', made, entry.contentSha256],
    ['leaf_hash', hex(row.leaf_hash), leafOf(entry)],
    ['ledger_index', row.ledger_index, index],
  ]
}
