/**
 * Arrays in Postgres' binary form, for functions that take a whole batch as one parameter a column.
 *
 * The driver sends a Buffer as it is, so nothing is turned into text and parsed again. Layout of an
 * array (`array_send` of the server, network byte order): dimensions, null flag, element type; for
 * each dimension length and lower bound; then each element as length and bytes, −1 standing for null.
 */

/** Object ids of the element types: fixed in `pg_type.dat`, equal in all versions. */
const ELEMENT = {
  bytea: 17,
  int4: 23,
  text: 25,
  json: 114,
  float8: 701,
  date: 1082,
  timestamptz: 1184,
  uuid: 2950,
} as const

type Element = keyof typeof ELEMENT
type Maybe<T> = T | null | undefined

const EMPTY_HEADER = 12
const HEADER = 20
const NULL = -1
/** Postgres counts from 2000-01-01. */
const EPOCH_MS = Date.UTC(2000, 0, 1)
const DAY_MS = 86_400_000

/** How one element is measured and written. */
interface Codec<T> {
  size(value: T): number
  write(into: Buffer, value: T, at: number): void
}

function encode<T>(element: Element, values: readonly Maybe<T>[], codec: Codec<T>): Buffer {
  const buffer = Buffer.allocUnsafe(values.length === 0 ? EMPTY_HEADER : HEADER + sizeOf(values, codec))
  const hasNull = values.some((value) => value === null || value === undefined)
  buffer.writeInt32BE(values.length === 0 ? 0 : 1, 0)
  buffer.writeInt32BE(hasNull ? 1 : 0, 4)
  buffer.writeInt32BE(ELEMENT[element], 8)
  if (values.length === 0) return buffer
  buffer.writeInt32BE(values.length, 12)
  buffer.writeInt32BE(1, 16)
  let at = HEADER
  for (const value of values) {
    if (value === null || value === undefined) {
      at = buffer.writeInt32BE(NULL, at)
    } else {
      const size = codec.size(value)
      at = buffer.writeInt32BE(size, at)
      codec.write(buffer, value, at)
      at += size
    }
  }
  return buffer
}

function sizeOf<T>(values: readonly Maybe<T>[], codec: Codec<T>): number {
  let bytes = 0
  for (const value of values) bytes += 4 + (value === null || value === undefined ? 0 : codec.size(value))
  return bytes
}

const textCodec: Codec<string> = {
  size: (value) => Buffer.byteLength(value),
  write: (into, value, at) => into.write(value, at),
}

/** `text[]`. */
export const textArray = (values: readonly Maybe<string>[]): Buffer => encode('text', values, textCodec)

/** `json[]` of values as JSON texts. */
export const jsonArray = (values: readonly Maybe<string>[]): Buffer => encode('json', values, textCodec)

/** `bytea[]`. */
export const byteaArray = (values: readonly Maybe<Uint8Array>[]): Buffer =>
  encode('bytea', values, { size: (value) => value.length, write: (into, value, at) => into.set(value, at) })

/** `float8[]`. */
export const float8Array = (values: readonly Maybe<number>[]): Buffer =>
  encode('float8', values, { size: () => 8, write: (into, value, at) => into.writeDoubleBE(value, at) })

/** `int4[]`. Throws RangeError for what isn't an integer of 32 bits. */
export const int4Array = (values: readonly Maybe<number>[]): Buffer =>
  encode('int4', values, {
    size: () => 4,
    write: (into, value, at) => {
      if (!Number.isInteger(value)) throw new RangeError(`int4 must be an integer, not ${value}`)
      into.writeInt32BE(value, at)
    },
  })

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/i

/** `uuid[]`. Throws RangeError for what isn't written as a UUID. */
export const uuidArray = (values: readonly Maybe<string>[]): Buffer =>
  encode('uuid', values, {
    size: () => 16,
    write: (into, value, at) => {
      if (!UUID.test(value))
        throw new RangeError(`uuid must look like 01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10, not ${value}`)
      into.write(value.replaceAll('-', ''), at, 'hex')
    },
  })

/** `date[]` of `YYYY-MM-DD`. Throws RangeError for anything else, 30 February included. */
export function dateArray(values: readonly Maybe<string>[]): Buffer {
  // What is written together is mostly of one day, and reading a day costs more than writing it.
  let last: string | undefined
  let day = 0
  return encode('date', values, {
    size: () => 4,
    write: (into, value, at) => {
      if (value !== last) day = dayOf(value)
      last = value
      into.writeInt32BE(day, at)
    },
  })
}

/** Days since 2000-01-01. */
function dayOf(value: string): number {
  const instant = Date.parse(`${value}T00:00:00.000Z`)
  if (Number.isNaN(instant) || new Date(instant).toISOString().slice(0, 10) !== value) {
    throw new RangeError(`date must be a day of the calendar as YYYY-MM-DD, not ${value}`)
  }
  return (instant - EPOCH_MS) / DAY_MS
}

/** `timestamptz[]`, to the millisecond. Throws RangeError for an invalid Date. */
export const timestamptzArray = (values: readonly Maybe<Date>[]): Buffer =>
  encode('timestamptz', values, {
    size: () => 8,
    write: (into, value, at) => into.writeBigInt64BE(BigInt(value.getTime() - EPOCH_MS) * 1000n, at),
  })
