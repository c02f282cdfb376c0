/**
 * Canonical JSON (RFC 8785): one value, one sequence of bytes, on every machine.
 *
 * Members are sorted by UTF-16 code units (3.2.3), numbers are written as ECMAScript writes them (3.2.2.3),
 * strings with the shortest escapes (3.2.2.2). What JSON can't carry is refused, never dropped: a hash over
 * bytes that silently miss a member would prove the wrong thing.
 */

/** Deeper values are refused, which also ends a value that contains itself. */
const NESTING_MAX = 64

/** Thrown for a value that has no canonical form. `pointer` is the JSON Pointer (RFC 6901) of the offender. */
export class NotCanonicalError extends Error {
  readonly pointer: string
  constructor(pointer: string, reason: string) {
    super(`${pointer === '' ? 'The value' : pointer} has no canonical JSON form: ${reason}.`)
    this.name = 'NotCanonicalError'
    this.pointer = pointer
  }
}

type Path = (string | number)[]

const utf8 = new TextEncoder()

/** Canonical JSON text of a value. Throws {@link NotCanonicalError}. */
export function canonicalJson(value: unknown): string {
  return textOf(value, [], 0)
}

/** Canonical JSON of a value as UTF-8 bytes: what is hashed and signed. Throws {@link NotCanonicalError}. */
export function canonicalBytes(value: unknown): Uint8Array {
  return utf8.encode(canonicalJson(value))
}

function textOf(value: unknown, path: Path, depth: number): string {
  switch (typeof value) {
    case 'string':
      return quote(value, path, depth)
    case 'number':
      if (!Number.isFinite(value)) throw refusal(path, depth, `${value} is not a JSON number`)
      // The text of -0 is '0', as RFC 8785 asks.
      return `${value}`
    case 'boolean':
      return value ? 'true' : 'false'
    case 'object':
      if (value === null) return 'null'
      if (depth === NESTING_MAX) throw refusal(path, depth, `it is nested deeper than ${NESTING_MAX}`)
      return Array.isArray(value) ? arrayText(value, path, depth) : objectText(value, path, depth)
    default:
      throw refusal(path, depth, `${value === undefined ? 'undefined' : `a ${typeof value}`} is not a JSON value`)
  }
}

// `path[depth]` is overwritten rather than pushed and popped: it is read only when something is refused.
function arrayText(items: readonly unknown[], path: Path, depth: number): string {
  let text = '['
  for (let index = 0; index < items.length; index++) {
    path[depth] = index
    text += (index === 0 ? '' : ',') + textOf(items[index], path, depth + 1)
  }
  return `${text}]`
}

function objectText(value: object, path: Path, depth: number): string {
  const prototype = Object.getPrototypeOf(value)
  if (prototype !== Object.prototype && prototype !== null) {
    throw refusal(path, depth, 'it is neither a plain object nor an array')
  }
  const members = value as Record<string, unknown>
  const { sorted, openings } = orderOf(Object.keys(members), path, depth)
  let text = ''
  for (let at = 0; at < sorted.length; at++) {
    const name = sorted[at] as string
    path[depth] = name
    text += openings[at] + textOf(members[name], path, depth + 1)
  }
  return text === '' ? '{}' : `${text}}`
}

/** The member names of one shape of object: as they come, in canonical order, and as they are written. */
interface MemberOrder {
  readonly names: readonly string[]
  readonly sorted: readonly string[]
  /** What stands before each value: `{"first":`, `,"second":`, ... */
  readonly openings: readonly string[]
}

/**
 * The order met last for each number of members. Documents repeat a few shapes (results, findings), so most
 * objects have the names of the one before; a kept order is used only where every name agrees.
 */
const ordersMet: (MemberOrder | undefined)[] = new Array(33).fill(undefined)

function orderOf(names: readonly string[], path: Path, depth: number): MemberOrder {
  const met = ordersMet[names.length]
  if (met !== undefined && sameNames(met.names, names)) return met
  // The default order of sort() is by UTF-16 code units.
  const sorted = names.toSorted()
  const openings = sorted.map((name, at) => {
    path[depth] = name
    return `${at === 0 ? '{' : ','}${quote(name, path, depth + 1)}:`
  })
  const order = { names, sorted, openings }
  if (names.length < ordersMet.length) ordersMet[names.length] = order
  return order
}

function sameNames(some: readonly string[], others: readonly string[]): boolean {
  for (let at = 0; at < some.length; at++) if (some[at] !== others[at]) return false
  return true
}

/** Characters that stand for themselves; the rest is left to JSON.stringify, which escapes as RFC 8785 does. */
const PLAIN = /^[ !#-[\]-~]*$/

function quote(text: string, path: Path, depth: number): string {
  if (PLAIN.test(text)) return `"${text}"`
  if (!text.isWellFormed()) throw refusal(path, depth, 'its text holds a lone surrogate')
  return JSON.stringify(text)
}

function refusal(path: Path, depth: number, reason: string): NotCanonicalError {
  const pointer = path
    .slice(0, depth)
    .map((step) => `/${String(step).replaceAll('~', '~0').replaceAll('/', '~1')}`)
    .join('')
  return new NotCanonicalError(pointer, reason)
}
