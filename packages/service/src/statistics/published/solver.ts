/**
 * The linear programs of protection: is there another record, as far from this one as is wanted, that every figure told
 * would be the same for? And if not, which further figures would have to be withheld for one?
 *
 * Solved by HiGHS (MIT), kept as a model in memory between questions. It is loaded only when a month is published.
 */
import type { Highs, Model } from 'highs'

export type State = 'told' | 'fixed' | 'withheld'

/** A figure of the tables: which unknowns it is the sum of. */
export interface Quantity {
  readonly members: readonly number[]
  /** `fixed` figures are known whatever is withheld now: told before, of the same tests. */
  state: State
  /** Withheld before, of the same tests: it was protected then. */
  readonly isKept?: boolean
  /** What it costs to withhold it. */
  readonly cost: number
}

let loading: Promise<Highs> | undefined
async function highs(): Promise<Highs> {
  // Its types are those of CommonJS, where the default export is a member; what is imported is the function.
  loading ??= import('highs').then((module) => (module.default as unknown as typeof module.default.default)())
  return loading
}

export interface Question {
  /** Quantity that is to move, and by how much. */
  readonly target: number
  readonly by: number
  /** How far each unknown may fall, and rise. */
  readonly room: { readonly down: Float64Array; readonly up: Float64Array }
}

export interface Move {
  /** By unknown. */
  readonly moved: Float64Array
  /** Quantities that are told and would have to be withheld. */
  readonly opened: readonly number[]
}

/** Above the tolerance of the solver, below anything measured; unknowns are scaled to about one. */
const TINY = 1e-6

export class MoveSolver {
  readonly #model: Model
  readonly #quantities: readonly Quantity[]
  readonly #unknowns: number

  private constructor(model: Model, quantities: readonly Quantity[], unknowns: number) {
    this.#model = model
    this.#quantities = quantities
    this.#unknowns = unknowns
  }

  /** Columns: the moves of unknowns, then by how much each quantity rises, then by how much it falls. */
  static async over(quantities: readonly Quantity[], unknowns: number): Promise<MoveSolver> {
    const solver = await highs()
    const count = quantities.length
    const columns = unknowns + 2 * count
    const starts = [0]
    const indices: number[] = []
    const values: number[] = []
    quantities.forEach(({ members }, n) => {
      indices.push(...members, unknowns + n, unknowns + count + n)
      values.push(...members.map(() => 1), -1, 1)
      starts.push(indices.length)
    })
    const model = solver.createModel({
      numCols: columns,
      numRows: count,
      colCost: new Float64Array(columns),
      colLower: new Float64Array(columns),
      colUpper: new Float64Array(columns),
      rowLower: new Float64Array(count),
      rowUpper: new Float64Array(count),
      matrix: {
        format: 'csr',
        numRows: count,
        numCols: columns,
        starts: Int32Array.from(starts),
        indices: Int32Array.from(indices),
        values: Float64Array.from(values),
      },
    })
    model.options.set({ output_flag: false, presolve: 'off', primal_feasibility_tolerance: 1e-9 })
    return new MoveSolver(model, quantities, unknowns)
  }

  dispose(): void {
    this.#model.dispose()
  }

  /** The cheapest move; undefined where there is none whatever is withheld. */
  move({ target, by, room }: Question): Move | undefined {
    const [unknowns, count] = [this.#unknowns, this.#quantities.length]
    const columns = unknowns + 2 * count
    const lower = new Float64Array(columns)
    const upper = new Float64Array(columns).fill(Number.POSITIVE_INFINITY)
    const costs = new Float64Array(columns)
    for (let n = 0; n < unknowns; n++) {
      lower[n] = -room.down[n]!
      upper[n] = room.up[n]!
    }
    this.#quantities.forEach(({ state, cost }, n) => {
      for (const [column, sign] of [
        [unknowns + n, 1],
        [unknowns + count + n, -1],
      ] as const) {
        costs[column] = state === 'told' ? cost : 0
        if (state === 'fixed') upper[column] = 0
        if (n !== target) continue
        const wanted = Math.max(0, by * sign)
        lower[column] = wanted
        upper[column] = wanted
      }
    })
    const all = { kind: 'range', from: 0, to: columns - 1 } as const
    this.#model.changeColsBounds(all, lower, upper)
    this.#model.changeColsCost(all, costs)
    this.#model.run()
    if (this.#model.getModelStatus() !== OPTIMAL) return undefined
    const { colValue } = this.#model.getSolution()
    const opened: number[] = []
    this.#quantities.forEach(({ state }, n) => {
      if (state === 'told' && colValue[unknowns + n]! + colValue[unknowns + count + n]! > TINY * Math.abs(by))
        opened.push(n)
    })
    return { moved: Float64Array.from(colValue.subarray(0, unknowns)), opened }
  }
}

/** Status of a solved model, as HiGHS numbers it. */
const OPTIMAL = 7
