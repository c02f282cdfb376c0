/**
 * One pass over the raw bytes of a body, before `JSON.parse`.
 *
 * `JSON.parse` keeps the last of two equal names, turns 1e999 into Infinity and lets lone surrogates through:
 * two readers of the same bytes could see two different sheets. So all of that is refused here, with the byte
 * offset or the JSON Pointer. The grammar is RFC 8259's; a byte order mark is refused.
 */
import { isUtf8 } from 'node:buffer'
import { randomBytes } from 'node:crypto'
import { Problem, type ProblemItem } from './problem.ts'

export const NESTING_MAX = 32
/** Names are compared with each other, so their number in one object has a limit. */
export const MEMBERS_MAX = 500
const SIGNIFICANT_DIGITS_MAX = 17

const QUOTE = 0x22
const BACKSLASH = 0x5c
const OPEN_OBJECT = 0x7b
const CLOSE_OBJECT = 0x7d
const OPEN_ARRAY = 0x5b
const CLOSE_ARRAY = 0x5d
const COLON = 0x3a
const COMMA = 0x2c
const MINUS = 0x2d
const PLUS = 0x2b
const POINT = 0x2e
const ZERO = 0x30
const NINE = 0x39

const FNV_PRIME = 0x01000193
/** Another in each process: whoever knew it could make names that all collide, and each pair would be decoded. */
const HASH_START = randomBytes(4).readInt32LE()

/** Bytes of a string that need no second look: not a control, a quote or a backslash. */
const ORDINARY = new Uint8Array(256)
for (let byte = 0x20; byte < 256; byte++) ORDINARY[byte] = byte === QUOTE || byte === BACKSLASH ? 0 : 1

class Scan {
  readonly bytes: Buffer
  at = 0
  depth = 0
  /** At each depth: the index in an array, or -1 within an object. */
  readonly index = new Int32Array(NESTING_MAX + 1)
  readonly nameStart = new Int32Array(NESTING_MAX + 1)
  readonly nameEnd = new Int32Array(NESTING_MAX + 1)
  /** Names of all open objects, the innermost last: hash, start and end of each. */
  readonly names: number[] = []
  /** Whether the text just scanned has escapes. */
  escaped = false
  /** Digits of the number being scanned, and how many of them are significant. */
  digits = 0
  significant = 0

  constructor(bytes: Buffer) {
    this.bytes = bytes
  }

  document(): void {
    this.space()
    this.value()
    this.space()
    if (this.at < this.bytes.length) throw this.unexpected('nothing more after the value')
  }

  value(): void {
    const byte = this.bytes[this.at]
    if (byte === QUOTE) this.text()
    else if (byte === OPEN_OBJECT) this.object()
    else if (byte === OPEN_ARRAY) this.array()
    else if (byte === MINUS || isDigit(byte)) this.number()
    else if (byte === 0x74) this.literal('true')
    else if (byte === 0x66) this.literal('false')
    else if (byte === 0x6e) this.literal('null')
    else throw this.unexpected('a value')
  }

  object(): void {
    const base = this.names.length
    this.enter(-1)
    if (this.bytes[this.at] !== CLOSE_OBJECT) {
      for (;;) {
        this.name(base)
        this.space()
        if (this.bytes[this.at] !== COLON) throw this.unexpected("':' after the name")
        this.at++
        this.space()
        this.value()
        this.space()
        if (this.bytes[this.at] !== COMMA) break
        this.at++
        this.space()
      }
      if (this.bytes[this.at] !== CLOSE_OBJECT) throw this.unexpected("',' or '}'")
    }
    this.at++
    this.depth--
    this.names.length = base
  }

  array(): void {
    this.enter(0)
    if (this.bytes[this.at] !== CLOSE_ARRAY) {
      for (;;) {
        this.value()
        this.space()
        if (this.bytes[this.at] !== COMMA) break
        this.at++
        this.space()
        this.index[this.depth]! += 1
      }
      if (this.bytes[this.at] !== CLOSE_ARRAY) throw this.unexpected("',' or ']'")
    }
    this.at++
    this.depth--
  }

  enter(index: number): void {
    if (this.depth === NESTING_MAX) throw malformed(this.at, `nested deeper than ${NESTING_MAX} levels`)
    this.at++
    this.depth++
    this.index[this.depth] = index
    this.nameEnd[this.depth] = 0
    this.space()
  }

  /** A member name; refuses one that the same object already has. `base` is where the object's names begin. */
  name(base: number): void {
    if (this.bytes[this.at] !== QUOTE) throw this.unexpected('a name in double quotes')
    const start = this.at
    this.nameEnd[this.depth] = 0
    this.text()
    const hash = this.escaped
      ? hashOf(Buffer.from(this.decoded(start, this.at)))
      : hashOf(this.bytes, start + 1, this.at - 1)
    this.nameStart[this.depth] = start
    this.nameEnd[this.depth] = this.at
    const { names } = this
    for (let other = base; other < names.length; other += 3) {
      if (names[other] !== hash) continue
      if (this.decoded(names[other + 1]!, names[other + 2]!) === this.decoded(start, this.at)) {
        throw this.refusedAt(start, 'duplicate-member', 'The member is there twice; each name may appear once.')
      }
    }
    if (names.length - base === MEMBERS_MAX * 3) {
      throw malformed(start, `more than ${MEMBERS_MAX} members in one object`)
    }
    names.push(hash, start, this.at)
  }

  /** A string, quotes included. */
  text(): void {
    const { bytes } = this
    let at = this.at + 1
    this.escaped = false
    for (;;) {
      while (ORDINARY[bytes[at]!] === 1) at++
      if (bytes[at] === QUOTE) break
      at = this.special(at)
    }
    this.at = at + 1
  }

  /** What isn't ordinary in a string: an escape, or a mistake. Returns where it ends. */
  special(at: number): number {
    const byte = this.bytes[at]
    if (byte === undefined) throw malformed(at, 'the text has no closing quote')
    if (byte !== BACKSLASH) throw malformed(at, 'a control character in a text must be written as an escape')
    this.escaped = true
    return this.escape(at)
  }

  /** An escape that begins at `at`; returns where it ends. */
  escape(at: number): number {
    const kind = this.bytes[at + 1]
    if (kind !== 0x75) {
      if (kind === undefined || !'"\\/bfnrt'.includes(String.fromCharCode(kind))) {
        throw malformed(at, 'an escape that JSON does not know')
      }
      return at + 2
    }
    const unit = this.hexUnit(at + 2)
    if (unit === 0) throw this.refusedAt(at, 'wrong-format', 'The character U+0000 can not be kept.')
    if (unit < 0xd800 || unit > 0xdfff) return at + 6
    const follows = unit < 0xdc00 && this.bytes[at + 6] === BACKSLASH && this.bytes[at + 7] === 0x75
    const low = follows ? this.hexUnit(at + 8) : 0
    if (low < 0xdc00 || low > 0xdfff) {
      throw this.refusedAt(at, 'wrong-format', 'Half of a surrogate pair stands alone; write both halves or neither.')
    }
    return at + 12
  }

  hexUnit(at: number): number {
    let unit = 0
    for (let position = at; position < at + 4; position++) {
      const digit = hexDigit(this.bytes[position])
      if (digit < 0) throw malformed(position, 'four hexadecimal digits must follow \\u')
      unit = unit * 16 + digit
    }
    return unit
  }

  /** A number; refuses what a double would not hold as written. */
  number(): void {
    const { bytes } = this
    const start = this.at
    this.digits = 0
    this.significant = 0
    if (bytes[this.at] === MINUS) this.at++
    if (bytes[this.at] === ZERO && isDigit(bytes[this.at + 1])) {
      throw this.unexpected('no digit after a leading zero', this.at + 1)
    }
    this.run()
    if (bytes[this.at] === POINT) {
      this.at++
      this.run()
    }
    const { significant } = this
    const exponent = bytes[this.at] === 0x65 || bytes[this.at] === 0x45
    if (exponent) {
      this.at++
      if (bytes[this.at] === PLUS || bytes[this.at] === MINUS) this.at++
      this.run()
    }
    if (significant > SIGNIFICANT_DIGITS_MAX) {
      throw this.outOfRange(
        start,
        `has ${significant} significant digits; at most ${SIGNIFICANT_DIGITS_MAX} can be kept`,
      )
    }
    // 300 digits without an exponent lie well inside the range of a double.
    if (exponent || this.at - start > 300) this.magnitude(start, significant)
  }

  /** One or more digits, counted from the first that isn't zero; zeros at the end don't count. */
  run(): void {
    const { bytes } = this
    const first = this.at
    let at = first
    for (let byte = bytes[at]; isDigit(byte); byte = bytes[++at]) {
      if (byte !== ZERO) this.significant = ++this.digits
      else if (this.digits > 0) this.digits++
    }
    if (at === first) throw this.unexpected('a digit')
    this.at = at
  }

  magnitude(start: number, significant: number): void {
    const value = Number(this.bytes.toString('latin1', start, this.at))
    if (!Number.isFinite(value)) throw this.outOfRange(start, 'is larger than 1.8e308, the largest that can be kept')
    if (value === 0 && significant > 0) {
      throw this.outOfRange(start, 'is closer to zero than 5e-324, the smallest that can be kept')
    }
  }

  literal(word: string): void {
    for (let offset = 1; offset < word.length; offset++) {
      if (this.bytes[this.at + offset] !== word.charCodeAt(offset)) throw this.unexpected(`'${word}'`)
    }
    this.at += word.length
  }

  space(): void {
    const { bytes } = this
    let at = this.at
    for (let byte = bytes[at]; byte === 0x20 || byte === 0x0a || byte === 0x0d || byte === 0x09; ) byte = bytes[++at]
    this.at = at
  }

  decoded(start: number, end: number): string {
    return JSON.parse(this.bytes.toString('utf8', start, end)) as string
  }

  /** JSON Pointer of the value or member being scanned. */
  pointer(): string {
    let pointer = ''
    for (let depth = 1; depth <= this.depth; depth++) {
      const index = this.index[depth]!
      if (index >= 0) pointer += `/${index}`
      else if (this.nameEnd[depth]! > 0) {
        const name = this.decoded(this.nameStart[depth]!, this.nameEnd[depth]!)
        pointer += `/${name.replaceAll('~', '~0').replaceAll('/', '~1')}`
      }
    }
    return pointer
  }

  unexpected(expected: string, at: number = this.at): Problem {
    const byte = this.bytes[at]
    const found =
      byte === undefined ? 'the end' : byte > 0x20 && byte < 0x7f ? `'${String.fromCharCode(byte)}'` : `byte ${byte}`
    return malformed(at, `expected ${expected}, found ${found}`)
  }

  refusedAt(at: number, code: ProblemItem['code'], message: string): Problem {
    return malformed(at, message.charAt(0).toLowerCase() + message.slice(1, -1), {
      pointer: this.pointer(),
      code,
      message,
    })
  }

  outOfRange(start: number, reason: string): Problem {
    const written = this.bytes.toString('latin1', start, Math.min(this.at, start + 40))
    const pointer = this.pointer()
    const message = `${written}${this.at > start + 40 ? '…' : ''} ${reason}.`
    return new Problem('number-out-of-range', `At ${pointer === '' ? 'the whole body' : pointer}: ${message}`, {
      errors: [{ pointer, code: 'number-out-of-range', message }],
    })
  }
}

const isDigit = (byte: number | undefined): boolean => byte !== undefined && byte >= ZERO && byte <= NINE

function hexDigit(byte: number | undefined): number {
  if (byte === undefined) return -1
  if (byte >= ZERO && byte <= NINE) return byte - ZERO
  const lower = byte | 0x20
  return lower >= 0x61 && lower <= 0x66 ? lower - 0x57 : -1
}

/** FNV-1a, 32 bits, from a start of our own: equal names have equal hashes, others seldom. */
function hashOf(bytes: Uint8Array, start = 0, end: number = bytes.length): number {
  let hash = HASH_START
  for (let at = start; at < end; at++) hash = Math.imul(hash ^ bytes[at]!, FNV_PRIME)
  return hash
}

function malformed(at: number, reason: string, item?: ProblemItem): Problem {
  return new Problem('malformed-json', `At byte ${at}: ${reason}.`, item ? { errors: [item] } : {})
}

/** Where the first sequence that isn't UTF-8 begins. */
function invalidUtf8At(bytes: Buffer): number {
  const text = bytes.toString('utf8')
  let at = 0
  let done = 0
  // Up to the first mistake the text is exact, so a replacement character that the bytes don't have marks it.
  for (let mark = text.indexOf('\ufffd'); mark >= 0; mark = text.indexOf('\ufffd', mark + 1)) {
    at += Buffer.byteLength(text.slice(done, mark))
    if (bytes[at] !== 0xef || bytes[at + 1] !== 0xbf || bytes[at + 2] !== 0xbd) return at
    done = mark
  }
  return at
}

/**
 * Value of a JSON body. Throws a {@link Problem}: `malformed-json` with the byte offset for anything that isn't
 * unambiguous JSON, `number-out-of-range` with the pointer for a number that a double would change beyond its digits.
 */
export function parseJson(bytes: Buffer): unknown {
  if (!isUtf8(bytes)) throw malformed(invalidUtf8At(bytes), 'not valid UTF-8')
  const text = bytes.toString('utf8')
  const plain = parsePlain(text)
  if (plain !== undefined) return plain
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) {
    throw malformed(0, 'a byte order mark; send UTF-8 without it')
  }
  new Scan(bytes).document()
  return JSON.parse(text)
}

/** A run of digits that may be too long, or an exponent: a look at each number is due. */
const REMARKABLE_NUMBER = /[0-9.]{17}|[0-9.][eE]/
/** Where there is no backslash this finds every name, and beside them strings that begin with a colon. */
const NAME_END = /"[ \t\n\r]*:/g

/**
 * Most bodies hold nothing that the scan could object to, and the engine's own parser can show it in less time.
 * Undefined where that isn't shown: then the scan decides, and says what is wrong.
 */
function parsePlain(text: string): unknown {
  if (text.includes('\\') || REMARKABLE_NUMBER.test(text)) return undefined
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    return undefined
  }
  // The parser keeps one of two equal names. As many names in the text as in the value: none was dropped.
  const names = text.match(NAME_END)?.length ?? 0
  return countNames(value, 0) === names ? value : undefined
}

/** Names in a value; NaN where there are more in one object, or more levels, than allowed. */
function countNames(value: unknown, depth: number): number {
  if (typeof value !== 'object' || value === null) return 0
  if (depth === NESTING_MAX) return Number.NaN
  let count = 0
  if (Array.isArray(value)) {
    for (const item of value) count += countNames(item, depth + 1)
    return count
  }
  let own = 0
  for (const name in value) {
    own += 1
    count += countNames((value as Record<string, unknown>)[name], depth + 1)
  }
  return own > MEMBERS_MAX ? Number.NaN : own + count
}
