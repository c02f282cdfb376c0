/**
 * Ids: a UUIDv7 (RFC 9562) inside, `tst_` + 26 Crockford base32 characters on the wire.
 *
 * The prefix lives on the wire only. Upper case only, and the first character at most 7: 26 characters
 * hold 130 bits, an id has 128, so that each id has exactly one spelling.
 */
import { Type } from 'typebox'
import { notFound } from './problem.ts'
import { randomPortion } from './random.ts'

export const PREFIXES = {
  firm: 'frm',
  program: 'prg',
  plant: 'plt',
  tester: 'tsr',
  instrument: 'ins',
  test: 'tst',
  note: 'nte',
  decision: 'fdc',
  'rule set': 'rls',
  'dry run': 'dry',
  'quality draw': 'qdr',
  'quality visit': 'qvs',
  check: 'chk',
  'access request': 'acr',
} as const

export type IdKind = keyof typeof PREFIXES

const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'
const VALUES = new Int8Array(128).fill(-1)
for (let value = 0; value < 32; value++) VALUES[ALPHABET.charCodeAt(value)] = value
const NIBBLES = new Int8Array(128).fill(-1)
for (let nibble = 0; nibble < 16; nibble++) NIBBLES[nibble.toString(16).charCodeAt(0)] = nibble

const LENGTH = 26

/** Schema of an id of one kind. */
export function Id(kind: IdKind, description: string) {
  return Type.String({
    pattern: `^${PREFIXES[kind]}_[0-7][0-9A-HJKMNP-TV-Z]{25}$`,
    minLength: 30,
    maxLength: 30,
    description,
  })
}

/** Wire form of a UUID. */
export function toWire(kind: IdKind, uuid: string): string {
  let text = `${PREFIXES[kind]}_`
  // 130 bits are written, so two zeros come before the 128.
  let bits = 0
  let held = 2
  for (let position = 0; position < uuid.length; position++) {
    const nibble = NIBBLES[uuid.charCodeAt(position)] ?? -1
    if (nibble < 0) continue
    bits = ((bits << 4) | nibble) & 0x1ff
    held += 4
    if (held >= 5) {
      held -= 5
      text += ALPHABET[(bits >> held) & 31]
    }
  }
  return text
}

/** UUID of a wire id, or undefined if it isn't an id of this kind. */
export function fromWire(kind: IdKind, text: string): string | undefined {
  const prefix = `${PREFIXES[kind]}_`
  if (text.length !== prefix.length + LENGTH || !text.startsWith(prefix)) return undefined
  let hex = ''
  let bits = 0
  let held = -2
  for (let position = prefix.length; position < text.length; position++) {
    const value = VALUES[text.charCodeAt(position)] ?? -1
    // The first character carries three bits only.
    if (value < 0 || (held === -2 && value > 7)) return undefined
    bits = ((bits << 5) | value) & 0x1ff
    held += 5
    while (held >= 4) {
      held -= 4
      hex += ((bits >> held) & 15).toString(16)
    }
  }
  return dashed(hex)
}

const dashed = (hex: string): string =>
  `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`

/** UUID of an id in a path. Throws `not-found` for anything that isn't an id of this kind. */
export function uuidOf(kind: IdKind, text: string): string {
  const uuid = fromWire(kind, text)
  if (uuid === undefined) throw notFound(kind, text)
  return uuid
}

/**
 * Makes UUIDv7s that only ever grow within this process: 48 bits of Unix milliseconds, then 12 bits counting
 * within the millisecond (RFC 9562, 6.2 method 1), then 62 random bits.
 */
export function uuidMaker(now: () => number): () => string {
  let last = 0
  let count = 0
  return () => {
    const time = now()
    if (time > last) {
      last = time
      count = 0
    } else if (++count > 0xfff) {
      // More than 4,096 in a millisecond, or a clock set back: borrow from the next one.
      last += 1
      count = 0
    }
    const bytes = randomPortion(16)
    bytes.writeUIntBE(last, 0, 6)
    bytes.writeUInt16BE(0x7000 | count, 6)
    bytes.writeUInt8((bytes.readUInt8(8) & 0x3f) | 0x80, 8)
    return dashed(bytes.toString('hex'))
  }
}
