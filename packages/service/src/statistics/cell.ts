/** A cell: what the tests of a group add up to. Cells are added and taken away exactly, and packed always the same way. */
import { noSums, SUMS_LENGTH, type Sums } from './sums.ts'

/** Kind of what is counted, and bin, as one number. */
const KIND = 4096
export const binKey = (kind: number, bin: number): number => kind * KIND + bin

/** Kinds of bins beyond the measures, which are counted under their own number: energy by the bin of the efficiency. */
export const ENERGY_BINS = {
  /** kWh, and hundredths of kWh of water energy, by efficiency. */
  energy: 20,
  waterEnergy: 21,
  /** Hundredths of kWh: energy times half-width, by efficiency. */
  energyByWidth: 22,
  /** By the upper end of the interval of efficiency. */
  energyAtUpper: 23,
  waterEnergyAtUpper: 24,
} as const

/** Changes of efficiency from one year to the next at the same plant, by the later year; in cells of all years. */
export const PAIR_BINS = { pairs: 30, changes: 31, squares: 32 } as const
/** A change is counted in steps of 1e-5, raised by this so that sums are never below nothing; larger ones are left out. */
export const CHANGE_STEP = 1e-5
export const CHANGE_RAISE = 2 ** 18
export const FIRST_YEAR = 1900

/** How many counted tests there are of each edition and currency. */
type Labels = Map<string, number>

/** A cell that is being added to. */
export interface Cell {
  readonly sums: Sums
  /** Counts or sums by `binKey`. */
  readonly bins: Map<number, number>
  readonly labels: Labels
}

/** A cell at rest: its bins side by side, in order of their keys. */
export interface StillCell {
  /** Of a cell as it was stored: no other one of this process has it. */
  readonly id?: number
  readonly sums: Sums
  readonly keys: Uint32Array
  readonly values: Float64Array
  readonly labels: Labels
}

/** Changes with the meaning of anything in a cell: cells of another layout are made again. */
export const LAYOUT = 1

export const emptyCell = (): Cell => ({ sums: noSums(), bins: new Map(), labels: new Map() })

export function addTo<K>(map: Map<K, number>, key: K, value: number): void {
  const sum = (map.get(key) ?? 0) + value
  if (sum === 0) map.delete(key)
  else map.set(key, sum)
}

export const addBin = ({ bins }: Cell, kind: number, bin: number, value: number): void =>
  addTo(bins, binKey(kind, bin), value)

export function still({ sums, bins, labels }: Cell): StillCell {
  const keys = Uint32Array.from(bins.keys()).sort()
  return { sums, keys, values: Float64Array.from(keys, (key) => bins.get(key)!), labels }
}

/** The sum of two cells; bins and labels that come to nothing are left out. */
export function plus(a: StillCell, b: StillCell): StillCell {
  const sums = noSums()
  for (let n = 0; n < SUMS_LENGTH; n++) sums[n] = a.sums[n]! + b.sums[n]!
  const keys = new Uint32Array(a.keys.length + b.keys.length)
  const values = new Float64Array(keys.length)
  let [i, j, size] = [0, 0, 0]
  while (i < a.keys.length || j < b.keys.length) {
    const [left, right] = [a.keys[i] ?? Number.POSITIVE_INFINITY, b.keys[j] ?? Number.POSITIVE_INFINITY]
    const value = (left <= right ? a.values[i++]! : 0) + (right <= left ? b.values[j++]! : 0)
    if (value === 0) continue
    keys[size] = Math.min(left, right)
    values[size++] = value
  }
  const labels = new Map(a.labels)
  for (const [key, value] of b.labels) addTo(labels, key, value)
  return { sums, keys: keys.slice(0, size), values: values.slice(0, size), labels }
}

export const isEmpty = ({ sums, keys, labels }: StillCell): boolean =>
  keys.length === 0 && labels.size === 0 && sums.every((value) => value === 0)

/** Whole numbers, low seven bits first, the eighth telling that more follow. */
class Writer {
  #bytes = Buffer.allocUnsafe(4096)
  #length = 0

  number(value: number): void {
    if (this.#length + 10 > this.#bytes.length) this.#grow(10)
    let rest = value
    while (rest >= 128) {
      this.#bytes[this.#length++] = (rest % 128) | 128
      rest = Math.floor(rest / 128)
    }
    this.#bytes[this.#length++] = rest
  }

  text(value: string): void {
    const bytes = Buffer.from(value)
    this.number(bytes.length)
    if (this.#length + bytes.length > this.#bytes.length) this.#grow(bytes.length)
    this.#length += bytes.copy(this.#bytes, this.#length)
  }

  #grow(by: number): void {
    this.#bytes = Buffer.concat([this.#bytes, Buffer.allocUnsafe(this.#bytes.length + by)])
  }

  done(): Buffer {
    return Buffer.from(this.#bytes.subarray(0, this.#length))
  }
}

/** Equal cells give equal bytes. Throws RangeError where something was taken away that was never added. */
export function pack({ sums, keys, values, labels }: StillCell): Buffer {
  const writer = new Writer()
  writer.number(LAYOUT)
  let zeros = 0
  for (const value of sums) {
    if (!(value >= 0 && value <= Number.MAX_SAFE_INTEGER)) throw new RangeError(`A cell holds the sum ${value}.`)
    // A run of zeros is a zero and its length.
    if (value === 0) {
      zeros += 1
      continue
    }
    if (zeros > 0) for (const one of [0, zeros]) writer.number(one)
    zeros = 0
    writer.number(value)
  }
  if (zeros > 0) for (const one of [0, zeros]) writer.number(one)
  writer.number(keys.length)
  let before = 0
  for (const [n, key] of keys.entries()) {
    if (!(values[n]! >= 0)) throw new RangeError(`A bin of a cell holds ${values[n]}.`)
    writer.number(key - before)
    writer.number(values[n]!)
    before = key
  }
  writer.number(labels.size)
  for (const key of [...labels.keys()].sort()) {
    writer.text(key)
    writer.number(labels.get(key)!)
  }
  return writer.done()
}

let unpacked = 0

export function unpack(bytes: Buffer): StillCell {
  let at = 0
  const number = (): number => {
    let value = 0
    for (let scale = 1; ; scale *= 128) {
      const byte = bytes[at++]!
      value += (byte & 127) * scale
      if (byte < 128) return value
    }
  }
  const layout = number()
  if (layout !== LAYOUT) throw new Error(`A cell of layout ${layout} was met where cells have layout ${LAYOUT}.`)
  const sums = noSums()
  for (let n = 0; n < SUMS_LENGTH; ) {
    const value = number()
    if (value === 0) n += number()
    else sums[n++] = value
  }
  const keys = new Uint32Array(number())
  const values = new Float64Array(keys.length)
  for (let n = 0, key = 0; n < keys.length; n++) {
    key += number()
    keys[n] = key
    values[n] = number()
  }
  const labels: Labels = new Map()
  for (let left = number(); left > 0; left--) {
    const length = number()
    const label = bytes.toString('utf8', at, at + length)
    at += length
    labels.set(label, number())
  }
  return { id: unpacked++, sums, keys, values, labels }
}
