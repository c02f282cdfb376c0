/**
 * Reads a bundle without copying it. Strict: each byte has its one place, and what can't be read is told with its place.
 *
 * Ten thousand tests are read in the time it takes to hash a fraction of them, hence bytes are compared where they
 * stand, and items are offsets.
 */
import { sha256Hex } from '#sha256'
import { BUNDLE_TITLE, SALT_BYTES } from './bundle.ts'
import { fromHexAt, isHexAt, standsAt } from './bytes.ts'
import { ENTRY_BYTES_MAX } from './entry.ts'
import { VerificationError } from './errors.ts'
import { HASH_BYTES } from './merkle.ts'

/** An item of a bundle: where its parts begin in the file. A newline stands before each but the first. */
export interface ReadItem {
  /** Where the line before it begins. */
  readonly byte: number
  readonly index: number
  readonly kind: 'test' | 'findings' | 'entry'
  /** Hash of the leaf in hexadecimal, as the line before it says. */
  readonly leafAt: number
  /**
   * Of a test: salt in hexadecimal, sheet, context. Of findings the salt, and the findings in place of the sheet. Of another
   * entry the salt is at 0.
   */
  readonly saltAt: number
  readonly rawAt: number
  readonly contextAt: number
  readonly entryAt: number
  /** Behind the newline that ends the entry. */
  readonly end: number
}

export interface ReadBundle {
  readonly checkpoint: string
  readonly earlier?: { readonly checkpoint: string; readonly consistency: readonly Uint8Array[] }
  /** Hashes of the proof of inclusion: in hexadecimal, a line each, from a byte on. */
  readonly inclusion: { readonly at: number; readonly count: number }
  /** Whether the head has the hash that is written behind it. */
  readonly headIntact: boolean
  readonly items: readonly ReadItem[]
}

/** The file is no bundle from some byte on. */
export class BundleError extends VerificationError {
  readonly byte: number
  readonly reason: string
  constructor(byte: number, reason: string) {
    super('bundle-malformed', `The bundle can not be read: ${reason}.`)
    this.name = 'BundleError'
    this.byte = byte
    this.reason = reason
  }
}

/** How a whole bundle ends. */
const LAST_LINES = '\nend\n'
const NEWLINE = 0x0a
const SPACE = 0x20
const ZERO = 0x30
const DIGITS_MAX = 15
/** A hash in hexadecimal and its newline. */
export const HASH_LINE = 2 * HASH_BYTES + 1
const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true })

/** Text of bytes that should be UTF-8; undefined if they aren’t. */
export function textOf(bytes: Uint8Array): string | undefined {
  try {
    return decoder.decode(bytes)
  } catch {
    return undefined
  }
}

const LINE_ENDS_CHANGED =
  'its line ends were changed, as happens where a file is stored or sent as text; fetch it again, as it is'

class Reader {
  readonly bytes: Uint8Array
  at = 0

  constructor(bytes: Uint8Array) {
    this.bytes = bytes
  }

  fail(reason: string, byte = this.at): never {
    throw new BundleError(byte, byte >= this.bytes.length ? 'it ends too early' : reason)
  }

  /** Goes behind a text if it stands here. */
  passed(text: string): boolean {
    if (!standsAt(this.bytes, this.at, text)) return false
    this.at += text.length
    return true
  }

  /** Goes behind one byte, which must stand here. */
  pass(byte: number, reason: string): void {
    if (this.bytes[this.at] !== byte) this.fail(reason)
    this.at++
  }

  /** A whole number in decimal without leading zeros, and the byte behind it. */
  number(behind: number): number {
    const start = this.at
    let value = 0
    for (;;) {
      const digit = this.bytes[this.at]! - ZERO
      // Also where the file ends: NaN is no digit.
      if (!(digit >= 0 && digit <= 9)) break
      value = value * 10 + digit
      this.at++
    }
    const length = this.at - start
    const spelled = length > 0 && length <= DIGITS_MAX && (length === 1 || this.bytes[start] !== ZERO)
    if (!spelled) this.fail('a number is expected here', start)
    this.pass(behind, 'a number is not followed by what belongs there')
    return value
  }

  /** Goes behind bytes in hexadecimal, and the byte behind them. */
  skipHex(count: number, behind: number): void {
    if (!isHexAt(this.bytes, this.at, count)) this.fail(`${2 * count} hexadecimal digits are expected here`)
    this.at += 2 * count
    this.pass(behind, 'hexadecimal digits are not followed by what belongs there')
  }

  /**
   * Goes behind a part of an entry and the newline that closes it. Where that isn't there, told is where the part begins,
   * since its end may lie anywhere; but of a file that was cut off, its end.
   */
  skip(length: number, part: string, index: number): void {
    const start = this.at
    this.at += length
    if (this.bytes[this.at] !== NEWLINE) {
      const size = this.bytes.length
      const isCutOff = this.at >= size && !standsAt(this.bytes, size - LAST_LINES.length, LAST_LINES)
      const reason = `the ${part} of entry ${index} is longer or shorter than the line before it says`
      this.fail(reason, isCutOff ? size : start)
    }
    this.at++
  }

  /** `COUNT` and a hash a line; the name was read. */
  hashes(): { readonly at: number; readonly count: number } {
    const count = this.number(NEWLINE)
    const at = this.at
    for (let left = count; left > 0; left--) this.skipHex(HASH_BYTES, NEWLINE)
    return { at, count }
  }

  /** `BYTES` and a note; the name was read. */
  note(): string {
    const length = this.number(NEWLINE)
    const start = this.at
    if (start + length > this.bytes.length) this.fail('it ends too early', this.bytes.length)
    this.at += length
    return textOf(this.bytes.subarray(start, this.at)) ?? this.fail('a note is no text', start)
  }
}

/** Reads a bundle; of it, nothing is verified yet. Throws {@link BundleError}. */
export function readBundle(bytes: Uint8Array): ReadBundle {
  const reader = new Reader(bytes)
  if (!reader.passed(`${BUNDLE_TITLE}\n`)) {
    const endsChanged = standsAt(bytes, 0, `${BUNDLE_TITLE}\r`)
    reader.fail(endsChanged ? LINE_ENDS_CHANGED : `its first line is not '${BUNDLE_TITLE}'`)
  }
  if (!reader.passed('checkpoint ')) reader.fail("'checkpoint' is expected here")
  const checkpoint = reader.note()
  const earlier = reader.passed('earlier ') ? readEarlier(reader) : undefined
  if (!reader.passed('inclusion ')) reader.fail("'inclusion' is expected here")
  const inclusion = reader.hashes()
  const headEnd = reader.at
  if (!reader.passed('items ')) reader.fail("'items' is expected here")
  const count = reader.number(SPACE)
  const hashAt = reader.at
  reader.skipHex(HASH_BYTES, NEWLINE)
  const headIntact = standsAt(bytes, hashAt, sha256Hex(bytes.subarray(0, headEnd)))
  const items = readItems(reader, count)
  if (reader.at !== bytes.length) reader.fail("something stands behind 'end'")
  return { checkpoint, inclusion, headIntact, items, ...(earlier && { earlier }) }
}

/** As many items as are announced, and `end`; where there are more or fewer, says how many there are. */
function readItems(reader: Reader, count: number): ReadItem[] {
  const items: ReadItem[] = []
  const announced = `${count} ${count === 1 ? 'item is' : 'items are'} announced`
  while (items.length < count) {
    if (standsAt(reader.bytes, reader.at, 'end\n')) reader.fail(`${announced}, but only ${items.length} are there`)
    try {
      items.push(readItem(reader))
    } catch (error) {
      if (!(error instanceof BundleError) || error.byte < reader.bytes.length) throw error
      throw new BundleError(error.byte, `${error.reason}: ${announced}, and ${items.length} are there whole`)
    }
  }
  const { at } = reader
  if (reader.passed('end\n')) return items
  const more = itemsUpToEnd(reader)
  return reader.fail(
    more === undefined
      ? `'end' is expected here, behind ${count} items`
      : `${announced}, but ${count + more} are there; this is the first too many`,
    at,
  )
}

/** How many items stand here before `end`; undefined if anything else does. */
function itemsUpToEnd(reader: Reader): number | undefined {
  try {
    let count = 0
    for (; !reader.passed('end\n'); count++) readItem(reader)
    return count
  } catch {
    return undefined
  }
}

function readEarlier(reader: Reader): NonNullable<ReadBundle['earlier']> {
  const checkpoint = reader.note()
  if (!reader.passed('consistency ')) reader.fail("'consistency' is expected here")
  const { at, count } = reader.hashes()
  const consistency = Array.from({ length: count }, (_, n) => fromHexAt(reader.bytes, at + n * HASH_LINE, HASH_BYTES))
  return { checkpoint, consistency }
}

const KINDS = ['test', 'findings', 'entry'] as const

function readItem(reader: Reader): ReadItem {
  const byte = reader.at
  const kind = KINDS.find((name) => reader.passed(`${name} `))
  if (kind === undefined) return reader.fail("'test', 'findings' or 'entry' is expected here")
  const [isTest, isSalted] = [kind === 'test', kind !== 'entry']
  const index = reader.number(SPACE)
  const leafAt = reader.at
  // Whether these are digits shows when they are compared with the hash of the entry, digit by digit.
  reader.at += 2 * HASH_BYTES
  reader.pass(SPACE, 'a hash is not followed by what belongs there')
  const saltAt = isSalted ? reader.at : 0
  if (isSalted) reader.skipHex(SALT_BYTES, SPACE)
  const rawLength = isSalted ? reader.number(SPACE) : 0
  const contextLength = isTest ? reader.number(SPACE) : 0
  const entryLength = reader.number(NEWLINE)
  if (entryLength > ENTRY_BYTES_MAX) reader.fail(`an entry is longer than ${ENTRY_BYTES_MAX} bytes`, byte)
  const rawAt = reader.at
  if (isSalted) reader.skip(rawLength, isTest ? 'sheet' : 'findings', index)
  const contextAt = reader.at
  if (isTest) reader.skip(contextLength, 'context', index)
  const entryAt = reader.at
  reader.skip(entryLength, 'text', index)
  return { byte, index, kind, leafAt, saltAt, rawAt, contextAt, entryAt, end: reader.at }
}

/** Lines of bytes, from 1, by byte: the file is gone through once, however many are asked for. */
export function linesOf(bytes: Uint8Array, asked: readonly number[]): ReadonlyMap<number, number> {
  const lines = new Map<number, number>()
  let [line, newline] = [1, bytes.indexOf(NEWLINE)]
  for (const byte of asked.toSorted((a, b) => a - b)) {
    for (; newline !== -1 && newline < byte; line++) newline = bytes.indexOf(NEWLINE, newline + 1)
    lines.set(byte, line)
  }
  return lines
}
