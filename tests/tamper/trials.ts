/** Runs trials: one change, one audit, and the change is taken back. */
import type pg from 'pg'
import { auditRecord } from '../../packages/service/src/audit/audit.ts'
import { type Derive, type Derived, derive } from '../../packages/service/src/audit/derive.ts'
import type { AuditFinding, Place } from '../../packages/service/src/audit/findings.ts'
import { sha256Hex } from '../../packages/service/src/http/sha256.ts'
import type { Chance } from './chance.ts'
import { type Change, drawChange, type Target } from './changes.ts'
import type { Columns } from './columns.ts'

export interface Outcome {
  readonly target: Target
  /** There was no change to find. */
  readonly refused: boolean
  /** Why not: types and keys refuse it, the byte holds nothing, or what changed is declared as not covered. */
  readonly why?: 'types-and-keys' | 'holds-nothing' | 'not-covered'
  readonly found: boolean
  /** A finding names the very row. */
  readonly placed: boolean
  /** A finding names the column too; of changes of one column only. */
  readonly column: boolean
  /** What the database with all its guards said to the same change: the trigger, constraint or key that refused it. */
  readonly guard: string | undefined
  readonly codes: readonly string[]
  /** What was done, where it wasn't found or its place wasn't named. */
  readonly missed?: string
}

/** Evaluates each sheet once: what evaluating costs is no part of a trial, and the same bytes give the same. */
export function remembered(): Derive {
  const known = new Map<string, Derived>()
  return (raw, context, edition) => {
    const name = `${sha256Hex(raw)} ${sha256Hex(context)} ${edition}`
    const before = known.get(name)
    if (before !== undefined) return before
    const derived = derive(raw, context, edition)
    known.set(name, derived)
    return derived
  }
}

export interface Bench {
  /** A copy of the record without its guards; every trial happens here. */
  readonly bare: pg.Client
  /** A copy with them. */
  readonly guarded: pg.Client
  readonly columns: Columns
  readonly derive: Derive
  readonly chance: Chance
}

/** One trial; undefined where the target has no row to change. */
export async function tryOnce(
  { bare, guarded, columns, derive: by, chance }: Bench,
  target: Target,
): Promise<Outcome | undefined> {
  const change = await drawChange(bare, target, columns, chance)
  if (change === undefined) return undefined
  const guard = await refusal(guarded, change)
  await bare.query('begin')
  try {
    const places = await make(bare, change)
    if (places === undefined)
      return {
        target,
        refused: true,
        why: 'types-and-keys',
        found: false,
        placed: false,
        column: false,
        guard,
        codes: [],
      }
    const findings: AuditFinding[] = []
    await auditRecord(bare, (finding) => void findings.push(finding), { derive: by })
    return judge(target, { change, places, guard, findings })
  } finally {
    await bare.query('rollback')
  }
}

/** Makes the change; answers its places, or undefined where the database can't even hold it or nothing is different. */
async function make(client: pg.Client, { sql, values, places }: Change): Promise<Place[] | undefined> {
  try {
    const { rows, rowCount } = await client.query<{ place: string }>(sql, [...values])
    if (rowCount === 0) return undefined
    const [{ table } = { table: '' }] = places
    return [...places, ...rows.map(({ place }) => ({ table: table || tableOf(sql), row: place }))]
  } catch {
    return undefined
  }
}

const tableOf = (sql: string): string => /insert into ll\.(\w+)/.exec(sql)?.[1] ?? ''

async function refusal(guarded: pg.Client, { sql, values }: Change): Promise<string | undefined> {
  await guarded.query('begin')
  try {
    await guarded.query(sql, [...values])
    await guarded.query('set constraints all immediate')
    return undefined
  } catch (error) {
    const { constraint, code } = error as { constraint?: string; code?: string }
    return constraint ?? (code === '55000' ? 'append-only' : String(code))
  } finally {
    await guarded.query('rollback')
  }
}

interface Judged {
  readonly change: Change
  readonly places: readonly Place[]
  readonly guard: string | undefined
  readonly findings: readonly AuditFinding[]
}

function judge(target: Target, { change, places, guard, findings }: Judged): Outcome {
  const named = findings.flatMap(({ or = [], ...own }) => [own, ...or])
  const placed = places.some((place) => named.some((finding) => covers(finding, place)))
  const column = named.some(
    (finding) => finding.column === target.column && places.some((place) => covers(finding, place)),
  )
  const codes = [...new Set(findings.map(({ code }) => code))]
  const found = findings.length > 0
  const missed = `${change.sql} ${JSON.stringify(change.values)} at ${JSON.stringify(places)}: ${JSON.stringify(findings.slice(0, 3))}`
  return { target, refused: false, found, placed, column, guard, codes, ...(!(found && placed) && { missed }) }
}

/** Whether a finding names the row: itself, or within a range of indexes. */
function covers({ table, row }: Place, place: Place): boolean {
  if (table !== place.table || row === undefined || place.row === undefined) return false
  if (row === place.row) return true
  const range = /^(\d+)\.\.(\d+)$/.exec(row)
  return range !== null && Number(range[1]) <= Number(place.row) && Number(place.row) <= Number(range[2])
}
