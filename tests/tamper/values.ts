/** Another value for a column: one that its type allows, and mostly one that could be meant. */
import type { Chance } from './chance.ts'
import type { Column } from './columns.ts'

/** SQL of the new value, which may name the column, and its one parameter. */
export interface NewValue {
  readonly sql: string
  readonly parameter?: string
}

/** Of columns that hold one of few words. */
const WORDS: Readonly<Record<string, readonly string[]>> = {
  soundness: ['sound', 'in-question', 'unsound'],
  kind: ['test', 'note', 'note-erased', 'signing-key', 'revision', 'withdrawal', 'record-findings', 'well', 'booster'],
  edition: ['2025-1', '2026-2', '2026-10'],
  operation: ['tests.submit', 'tests.revise', 'tests.give'],
  outcome: ['stands', 'does-not-stand'],
  how: ['superseded', 'withdrawn'],
  severity: ['reject', 'hold', 'caution', 'note'],
}

const STEPS = ['1 microsecond', '-1 microsecond', '1 millisecond', '-1 second', '1 hour', '-1 day', '1 year']

/** A value other than `now`, the present one as text. `others` are values of the column in other rows. */
export function newValue(
  column: Column,
  { now, others, chance }: { now: string | null; others: readonly string[]; chance: Chance },
): NewValue {
  if (column.nullable && now !== null && chance.below(6) === 0) return { sql: 'null' }
  const different = others.filter((value) => value !== now)
  const elsewhere = different.length > 0 && chance.below(2) === 0
  if (elsewhere) return { sql: `$1::${column.type}`, parameter: chance.of(different) }
  return { ...made(column, now, chance) }
}

function made({ name, type, base }: Column, now: string | null, chance: Chance): NewValue {
  const given = (parameter: string): NewValue => ({ sql: `$1::${type}`, parameter })
  switch (base) {
    case 'timestamp with time zone':
      return now === null ? { sql: 'now()' } : { sql: `${name} + interval '${chance.of(STEPS)}'` }
    case 'date':
      return now === null ? { sql: 'current_date' } : { sql: `${name} + ${chance.of([-365, -30, -1, 1, 2, 31])}` }
    case 'smallint':
    case 'integer':
    case 'bigint':
      return now === null ? given('1') : given(String(Number(now) + chance.of([-1, 1, 2, 100])))
    case 'double precision':
      return given(now === null ? String(chance.share()) : number(Number(now), chance))
    case 'boolean':
      return { sql: `not ${name}` }
    case 'uuid':
      return given(uuid(chance))
    case 'bytea':
      return given(`\\x${bytes(chance, now === null ? 16 : Math.max(1, (now.length - 2) / 2))}`)
    case 'text[]':
      return given(`{X-${chance.below(1_000)}}`)
    case 'json':
    case 'jsonb':
      return given(json(now ?? '[]', chance))
    default:
      return given(text(name, now ?? '', chance))
  }
}

/** The nearest number above, a hundredth more, the other sign, another size. */
function number(now: number, chance: Chance): string {
  const view = new DataView(new ArrayBuffer(8))
  view.setFloat64(0, now)
  view.setBigUint64(0, view.getBigUint64(0) + 1n)
  return String(chance.of([view.getFloat64(0), now * 1.01, -now - 1, now * 10 + 1]))
}

function text(name: string, now: string, chance: Chance): string {
  const words = WORDS[name]?.filter((word) => word !== now)
  if (words !== undefined) return chance.of(words)
  const at = chance.below(Math.max(1, now.length))
  const letters = [...'abcdefghijkmnpqrstuvwxyz23456789'].filter((letter) => letter !== now[at])
  return now.slice(0, at) + chance.of(letters) + now.slice(at + 1)
}

function json(now: string, chance: Chance): string {
  const value = JSON.parse(now) as Record<string, unknown>[]
  if (!Array.isArray(value)) return JSON.stringify({ ...(value as object), invented: chance.below(1_000) })
  if (value.length === 0) return JSON.stringify([{ id: 'drawdown-not-resolved', severity: 'note', place: '/runs/0' }])
  const at = chance.below(value.length)
  const other = value[at]!.severity === 'note' ? 'caution' : 'note'
  return JSON.stringify(
    chance.below(2) === 0 ? value.toSpliced(at, 1) : value.with(at, { ...value[at], severity: other }),
  )
}

export const bytes = (chance: Chance, count: number): string =>
  Array.from({ length: count }, () => chance.below(256).toString(16).padStart(2, '0')).join('')

export function uuid(chance: Chance): string {
  const hex = bytes(chance, 16)
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-7${hex.slice(13, 16)}-a${hex.slice(17, 20)}-${hex.slice(20)}`
}
