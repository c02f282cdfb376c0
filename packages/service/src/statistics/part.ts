/** Cells that are read together: their sums are added up at once, their bins only where they are asked for. */
import { EDGES } from './bins.ts'
import { binKey, type Cell, emptyCell, type StillCell, still } from './cell.ts'
import { noSums, SUMS_LENGTH, type Sums } from './sums.ts'

/** Bins of pairs are years. */
const YEARS = 512

export class Part {
  readonly #cells: StillCell[] = []
  #since: Cell | undefined
  #sums: Sums | undefined

  add(cell: StillCell): void {
    this.#cells.push(cell)
  }

  /** What came since the cells were folded is added to this one. */
  get since(): Cell {
    this.#since ??= emptyCell()
    return this.#since
  }

  /** The cells, when all is added. */
  get cells(): readonly StillCell[] {
    if (this.#since !== undefined) {
      this.#cells.push(still(this.#since))
      this.#since = undefined
    }
    return this.#cells
  }

  /** Whether what came since took away all there was; a cell that is stored holds something. */
  get isEmpty(): boolean {
    return this.cells.some(({ id }) => id === undefined) && this.sums.every((value) => value === 0)
  }

  get sums(): Sums {
    if (this.#sums === undefined) {
      const [first, ...others] = this.cells
      this.#sums = first === undefined ? noSums() : others.length === 0 ? first.sums : added(this.cells)
    }
    return this.#sums
  }
}

function added(cells: readonly StillCell[]): Sums {
  const sums = noSums()
  for (const cell of cells) for (let n = 0; n < SUMS_LENGTH; n++) sums[n]! += cell.sums[n]!
  return sums
}

/** Counts, or sums, by bin: what is below a bin, and where a rank lies. */
export class Counts {
  /** Bins that hold something, in order; and the sums up to and with each. */
  readonly #bins: readonly number[]
  readonly #upTo: readonly number[]

  constructor(bins: readonly number[], values: readonly number[]) {
    this.#bins = bins
    let sum = 0
    this.#upTo = values.map((value) => (sum += value))
  }

  get total(): number {
    return this.#upTo.at(-1) ?? 0
  }
  get first(): number | undefined {
    return this.#bins[0]
  }
  get last(): number | undefined {
    return this.#bins.at(-1)
  }

  /** Sum over the bins below this one. */
  below(bin: number): number {
    const place = firstFrom(this.#bins, bin)
    return place === 0 ? 0 : this.#upTo[place - 1]!
  }

  /** Bin of the value at a rank from 1. */
  binAt(rank: number): number {
    return this.#bins[Math.min(firstFrom(this.#upTo, rank), this.#bins.length - 1)]!
  }

  each(): [bin: number, value: number][] {
    return this.#bins.map((bin, n) => [bin, this.#upTo[n]! - (this.#upTo[n - 1] ?? 0)])
  }
}

/** Index of the first that is at least this; their number where none is. */
function firstFrom(sorted: ArrayLike<number>, least: number): number {
  let [low, high] = [0, sorted.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < least) low = middle + 1
    else high = middle
  }
  return low
}

/** Where bins are added up; zero but for the moment in which that is done. */
const row = new Float64Array(Math.max(EDGES.length, YEARS))

/** Of one kind, over the parts of a group. */
export function countsOf(parts: readonly Part[], kind: number): Counts {
  const cells = parts.flatMap((part) => part.cells)
  const spans = cells.map(
    ({ keys }) => [firstFrom(keys, binKey(kind, 0)), firstFrom(keys, binKey(kind + 1, 0))] as const,
  )
  if (cells.length === 1) {
    const [{ keys, values }, [from, to]] = [cells[0]!, spans[0]!]
    return new Counts(
      Array.from(keys.subarray(from, to), (key) => key - binKey(kind, 0)),
      Array.from(values.subarray(from, to)),
    )
  }
  const touched: number[] = []
  cells.forEach(({ keys, values }, n) => {
    const [from, to] = spans[n]!
    for (let place = from; place < to; place++) {
      const bin = keys[place]! - binKey(kind, 0)
      // One that came to nothing in between is named twice, and told once.
      if (row[bin] === 0) touched.push(bin)
      row[bin]! += values[place]!
    }
  })
  const bins: number[] = []
  const sums: number[] = []
  for (const bin of Uint16Array.from(touched).sort()) {
    if (row[bin] === 0) continue
    bins.push(bin)
    sums.push(row[bin]!)
    row[bin] = 0
  }
  return new Counts(bins, sums)
}

/** Sum of one kind over the bins below this one. */
export function sumBelow(parts: readonly Part[], kind: number, bin: number): number {
  let sum = 0
  for (const part of parts) {
    for (const { keys, values } of part.cells) {
      const to = firstFrom(keys, binKey(kind, bin))
      for (let place = firstFrom(keys, binKey(kind, 0)); place < to; place++) sum += values[place]!
    }
  }
  return sum
}
