/** Readings of a sheet as lines for people, in its order and by what was read. */
import { catalogue, Sheet } from '@liftledger/calc'
import { amount } from './amounts.ts'
import { type Clock, clockOf } from './clock.ts'

export interface ReadingLine {
  /** JSON Pointer into the sheet. */
  readonly place: string
  readonly label: string
  readonly value: string
}

/** What was read in one place. */
export interface ReadingPart {
  readonly title: string
  readonly lines: readonly ReadingLine[]
}

/** Members that say who and where, which stand at the head of the report. */
const HEAD = new Set(['plant', 'kind', 'testedOn', 'tester'])
/** Members that count runs from 0, where people count from 1. */
const RUN_INDEX = new Set(['run', 'normalRun'])

interface Reading {
  readonly value: number
  readonly unit: string
  readonly at?: string
}

const isObject = (value: unknown): value is object => typeof value === 'object' && value !== null
const isReading = (value: unknown): value is Reading =>
  isObject(value) && 'value' in value && 'unit' in value && Object.keys(value).length === ('at' in value ? 3 : 2)
/** A reading, a bare value, or a list of them. */
const isPlain = (value: unknown): boolean =>
  !isObject(value) ||
  isReading(value) ||
  (Array.isArray(value) && value.every((item) => !isObject(item) || isReading(item)))

/** Names that say little by themselves. */
const NAMES: Readonly<Record<string, string>> = {
  at: 'time',
  kh: 'meter constant Kh',
  mark: 'measured from',
  point: 'read at',
  rule: 'rule of the points',
}

/** `gaugeHeightAboveDischargeCentre` → `gauge height above discharge centre`; an index counts from 1. */
const word = (name: string): string =>
  NAMES[name] ??
  (/^\d+$/.test(name)
    ? String(Number(name) + 1)
    : name.replaceAll(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`).replaceAll('-', ' '))

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** A pointer in words: `/runs/0/flow/pipe` → `run 1, flow, pipe`; of the only run, `flow, pipe`. */
export function placeInWords(pointer: string, runs: number): string {
  const [first, second, ...rest] = pointer.split('/').slice(1)
  if (first === undefined) return 'the sheet'
  if (first !== 'runs' || second === undefined)
    return [first, ...(second === undefined ? [] : [second]), ...rest].map(word).join(', ')
  if (runs === 1) return rest.length === 0 ? 'the run' : rest.map(word).join(', ')
  return [`run ${word(second)}`, ...rest.map(word)].join(', ')
}

/** Codes that the schema lists, by the member that holds them: they are words, not names of something. */
const CODES: ReadonlyMap<string, ReadonlySet<unknown>> = codesOf(Sheet)
function codesOf(schema: unknown, name = '', found = new Map<string, Set<unknown>>()): Map<string, Set<unknown>> {
  if (!isObject(schema)) return found
  const { enum: listed } = schema as { enum?: unknown }
  if (Array.isArray(listed)) found.set(name, new Set([...(found.get(name) ?? []), ...listed]))
  for (const [key, part] of Object.entries(schema))
    if (key === 'properties' && isObject(part))
      for (const [member, own] of Object.entries(part)) codesOf(own, member, found)
    else if (isObject(part)) codesOf(part, name, found)
  return found
}

const TITLES: ReadonlyMap<string, string> = new Map(catalogue.methods.map(({ id, title }) => [id, title]))

function textInWords(name: string, text: string, clock: Clock): string {
  if (name === 'method') return TITLES.get(text) ?? text.replaceAll('-', ' ')
  return CODES.get(name)?.has(text) ? text.replaceAll('-', ' ') : clock.told(text)
}

/** Numbers as they were written, never with more digits. */
function plainInWords(name: string, value: unknown, clock: Clock): string {
  const told = (reading: Reading): string => {
    const text = amount(reading.value, reading.unit)
    return reading.at === undefined ? text : `${text} at ${clock.told(reading.at)}`
  }
  if (isReading(value)) return told(value)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value === 'number') return String(RUN_INDEX.has(name) ? value + 1 : value)
  if (!Array.isArray(value)) return textInWords(name, String(value), clock)
  if (value.length === 0) return 'none'
  if (!value.every(isReading)) return value.map((item) => plainInWords(name, item, clock)).join(', ')
  const [{ unit }] = value as [Reading]
  const alike = value.every((item) => item.unit === unit && item.at === undefined)
  return alike ? amount(value.map((item) => item.value).join(', '), unit) : value.map(told).join('; ')
}

/** Lines of one member: of its own members each, one for what is plain, and one for each of several alike. */
function linesOf(value: unknown, place: string, names: readonly string[], clock: Clock): ReadingLine[] {
  if (value === undefined) return []
  const line = (text: string): ReadingLine[] => [{ place, label: names.map(word).join(', '), value: text }]
  const own = names.findLast((name) => !/^\d+$/.test(name)) ?? ''
  if (isPlain(value)) return line(plainInWords(own, value, clock))
  const members = Object.entries(value as object)
  // A timing of several, or a diameter, is one line.
  if (own !== names.at(-1) && members.every(([, member]) => isPlain(member)))
    return line(members.map(([name, member]) => `${word(name)} ${plainInWords(name, member, clock)}`).join('; '))
  return members.flatMap(([name, member]) => linesOf(member, `${place}/${name}`, [...names, name], clock))
}

/** All that was read but what stands at the head, part by part. */
export function readingParts(sheet: Sheet): { readonly parts: readonly ReadingPart[]; readonly note?: string } {
  const clock = clockOf(sheet)
  const parts = new Map<string, ReadingLine[]>()
  /** Members that hold others are parts of their own; the rest stands together. */
  const gather = (from: object, place: string, rest: string, titled: (name: string) => string): void => {
    for (const [name, member] of Object.entries(from)) {
      const at = `${place}/${name}`
      const isPart = !isPlain(member) && !Array.isArray(member)
      const title = isPart ? titled(name) : rest
      const lines = isPart
        ? Object.entries(member as object).flatMap(([own, one]) => linesOf(one, `${at}/${own}`, [own], clock))
        : linesOf(member, at, [name], clock)
      parts.set(title, [...(parts.get(title) ?? []), ...lines])
    }
  }
  const { runs, ...visit } = sheet
  const told = Object.fromEntries(Object.entries(visit).filter(([name]) => !HEAD.has(name)))
  gather(told, '', 'The visit', (name) => capital(word(name)))
  for (const [n, run] of runs.entries())
    if (runs.length === 1) gather(run, '/runs/0', 'The run', (name) => capital(word(name)))
    else gather(run, `/runs/${n}`, `Run ${n + 1}`, (name) => `Run ${n + 1}: ${word(name)}`)
  return {
    parts: [...parts].map(([title, lines]) => ({ title, lines })).filter(({ lines }) => lines.length > 0),
    ...(clock.note !== undefined && { note: clock.note }),
  }
}
