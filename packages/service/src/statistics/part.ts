/** Cells that are read together: their sums are added up at once, their bins only where they are asked for. */
import { EDGES } from './bins.ts'
import { type Cell, emptyCell } from './cell.ts'
import { noSums, SUMS_LENGTH, type Sums } from './sums.ts'

export class Part {
  readonly #cells: Cell[] = []
  #sums: Sums | undefined
  #since: Cell | undefined

  add(cell: Cell): void {
    this.#cells.push(cell)
  }

  /** What came since the cells were folded is added to this one. */
  get since(): Cell {
    if (this.#since === undefined) {
      this.#since = emptyCell()
      this.#cells.push(this.#since)
    }
    return this.#since
  }

  /** To be asked for when all is added. */
  get sums(): Sums {
    if (this.#sums !== undefined) return this.#sums
    const [first] = this.#cells
    let sums = first?.sums ?? noSums()
    if (this.#cells.length > 1) {
      sums = noSums()
      for (const cell of this.#cells) for (let n = 0; n < SUMS_LENGTH; n++) sums[n]! += cell.sums[n]!
    }
    this.#sums = sums
    return sums
  }

  get labels(): Map<string, number> {
    const labels = new Map<string, number>()
    for (const cell of this.#cells) for (const [key, n] of cell.labels) labels.set(key, (labels.get(key) ?? 0) + n)
    return labels
  }

  /** Adds the bins of one kind to a row as long as there are edges. */
  addBins(kind: number, to: Float64Array): void {
    for (const { bins } of this.#cells) {
      const own = bins.get(kind)
      if (own !== undefined) for (const [bin, value] of own) to[bin]! += value
    }
  }
}

/** Of one kind, over the parts of a group, in order of the bins. */
export function countsOf(parts: readonly Part[], kind: number): [bin: number, count: number][] {
  const row = new Float64Array(EDGES.length)
  for (const part of parts) part.addBins(kind, row)
  const counts: [number, number][] = []
  for (let bin = 0; bin < row.length; bin++) if (row[bin] !== 0) counts.push([bin, row[bin]!])
  return counts
}
