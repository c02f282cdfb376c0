/** Readings of a sheet as lines for people, in its order: where, and what was read. */
import type { Sheet } from '@liftledger/calc'

export interface ReadingLine {
  /** JSON Pointer into the sheet. */
  readonly place: string
  readonly label: string
  readonly value: string
}

/** Members that say who and where, which stand at the head of the report. */
const HEAD = new Set(['plant', 'kind', 'testedOn', 'tester'])

interface Reading {
  readonly value: number
  readonly unit: string
  readonly at?: string
}

const isReading = (value: object): value is Reading =>
  'value' in value && 'unit' in value && Object.keys(value).length === ('at' in value ? 3 : 2)

/** A ratio has no unit to be shown. */
const amount = (value: number | string, unit: string): string => (unit === '1' ? String(value) : `${value} ${unit}`)
const inWords = ({ value, unit, at }: Reading): string =>
  at === undefined ? amount(value, unit) : `${amount(value, unit)} at ${at}`

/** `gaugeHeightAboveDischargeCentre` → `gauge height above discharge centre`; an index counts from 1. */
const word = (name: string): string =>
  /^\d+$/.test(name)
    ? String(Number(name) + 1)
    : name.replaceAll(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`).replaceAll('-', ' ')

/** A pointer in words: `/runs/0/flow/pipe` → `run 1, flow, pipe`. */
export function placeInWords(pointer: string): string {
  const [first, second, ...rest] = pointer.split('/').slice(1)
  if (first === undefined) return 'the sheet'
  const head =
    first === 'runs' && second !== undefined
      ? [`run ${word(second)}`]
      : [word(first), ...(second === undefined ? [] : [word(second)])]
  return [...head, ...rest.map(word)].join(', ')
}

/** Numbers as they were written, never with more digits. */
export function readingLines(sheet: Sheet): ReadingLine[] {
  const lines: ReadingLine[] = []
  const add = (place: string, value: string) => lines.push({ place, label: placeInWords(place), value })
  const walk = (value: unknown, place: string): void => {
    if (Array.isArray(value)) {
      if (value.length > 0 && value.every((item) => typeof item === 'object' && item !== null && isReading(item))) {
        const [{ unit }] = value as [Reading]
        const plain = value.every((item: Reading) => item.unit === unit && item.at === undefined)
        add(place, plain ? amount(value.map((item) => item.value).join(', '), unit) : value.map(inWords).join('; '))
      } else if (value.every((item) => typeof item !== 'object')) add(place, value.join(', '))
      else for (const [n, item] of value.entries()) walk(item, `${place}/${n}`)
    } else if (typeof value === 'object' && value !== null) {
      if (isReading(value)) add(place, inWords(value))
      else for (const [name, member] of Object.entries(value)) walk(member, `${place}/${name}`)
    } else if (value !== undefined) add(place, typeof value === 'boolean' ? (value ? 'yes' : 'no') : String(value))
  }
  for (const [name, member] of Object.entries(sheet)) if (!HEAD.has(name)) walk(member, `/${name}`)
  return lines
}
