/** A cell: what the tests of a group add up to. Cells are added and taken away exactly, and packed always the same way. */
import { noSums, SUMS_LENGTH, type Sums } from './sums.ts'

/** Counts or sums by bin, by the kind of what is counted. */
export type Bins = Map<number, Map<number, number>>
/** Kind and bin are packed as one number. */
const KIND = 4096

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

export interface Cell {
  readonly sums: Sums
  readonly bins: Bins
  /** How many counted tests there are of each edition and currency. */
  readonly labels: Map<string, number>
}

/** Changes with the meaning of anything in a cell: cells of another layout are made again. */
export const LAYOUT = 1

export const emptyCell = (): Cell => ({ sums: noSums(), bins: new Map(), labels: new Map() })

export function addTo<K>(map: Map<K, number>, key: K, value: number): void {
  const sum = (map.get(key) ?? 0) + value
  if (sum === 0) map.delete(key)
  else map.set(key, sum)
}

export function addBin({ bins }: Cell, kind: number, bin: number, value: number): void {
  let own = bins.get(kind)
  if (own === undefined) {
    own = new Map()
    bins.set(kind, own)
  }
  addTo(own, bin, value)
}

/** Adds a cell to another, or takes it away. */
export function merge(into: Cell, { sums, bins, labels }: Cell, sign: 1 | -1 = 1): void {
  for (let n = 0; n < SUMS_LENGTH; n++) into.sums[n]! += sign * sums[n]!
  for (const [kind, own] of bins) {
    let other = into.bins.get(kind)
    if (other === undefined) {
      other = new Map()
      into.bins.set(kind, other)
    }
    for (const [bin, value] of own) addTo(other, bin, sign * value)
  }
  for (const [key, value] of labels) addTo(into.labels, key, sign * value)
}

export const isEmpty = ({ sums, bins, labels }: Cell): boolean =>
  [...bins.values()].every(({ size }) => size === 0) && labels.size === 0 && sums.every((value) => value === 0)

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
export function pack({ sums, bins, labels }: Cell): Buffer {
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
  writer.number([...bins.values()].reduce((sum, { size }) => sum + size, 0))
  let before = 0
  for (const kind of [...bins.keys()].sort((a, b) => a - b)) {
    const own = bins.get(kind)!
    for (const bin of Uint32Array.from(own.keys()).sort()) {
      const value = own.get(bin)!
      if (value < 0) throw new RangeError(`A bin of a cell holds ${value}.`)
      writer.number(kind * KIND + bin - before)
      writer.number(value)
      before = kind * KIND + bin
    }
  }
  writer.number(labels.size)
  for (const key of [...labels.keys()].sort()) {
    writer.text(key)
    writer.number(labels.get(key)!)
  }
  return writer.done()
}

export function unpack(bytes: Buffer): Cell {
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
  const cell = emptyCell()
  for (let n = 0; n < SUMS_LENGTH; ) {
    const value = number()
    if (value === 0) n += number()
    else cell.sums[n++] = value
  }
  let key = 0
  for (let left = number(); left > 0; left--) {
    key += number()
    addBin(cell, Math.floor(key / KIND), key % KIND, number())
  }
  for (let left = number(); left > 0; left--) {
    const length = number()
    const label = bytes.toString('utf8', at, at + length)
    at += length
    cell.labels.set(label, number())
  }
  return cell
}
