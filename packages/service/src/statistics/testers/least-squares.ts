/**
 * Least squares by Householder reflections (Golub and Van Loan, Matrix Computations, 4th ed. 2013, section 5.3; from
 * memory): columns are reflected away one after the other, which keeps nearly all digits where columns are nearly alike.
 */

export interface Fit {
  /** Of each column; 0 for one that the columns before it make up already. */
  readonly coefficients: readonly number[]
  /** Of each coefficient; 0 where the coefficient says nothing. */
  readonly standardErrors: readonly number[]
  readonly residuals: readonly number[]
  /** Root of the sum of squares over the degrees of freedom; NaN without any. */
  readonly residualDeviation: number
  readonly degreesOfFreedom: number
}

/** A column whose rest is this small beside the whole is made up by those before it. */
const DEPENDENT = 1e-10

/**
 * Fits `y` by columns of equal length. Columns are not added: a constant is a column of ones.
 *
 * @throws RangeError where lengths differ
 */
export function leastSquares(columns: readonly (readonly number[])[], y: readonly number[]): Fit {
  const n = y.length
  for (const [place, { length }] of columns.entries())
    if (length !== n) throw new RangeError(`Column ${place} has ${length} values; there are ${n} rows.`)
  const work = columns.map((column) => Float64Array.from(column))
  const rest = Float64Array.from(y)
  const { kept, diagonal } = reflect(work, rest)
  const p = kept.length
  // What is left of the rows beyond the columns kept is the residual, turned.
  let squares = 0
  for (let row = p; row < n; row++) squares += rest[row]! ** 2
  const upper = (row: number, place: number): number => (row === place ? diagonal[row]! : work[kept[place]!]![row]!)
  const solved = backSubstituted(p, upper, rest)
  const degreesOfFreedom = n - p
  const residualDeviation = degreesOfFreedom > 0 ? Math.sqrt(squares / degreesOfFreedom) : Number.NaN
  const spread = inverseRowNorms(p, upper)
  const coefficients = columns.map(() => 0)
  const standardErrors = columns.map(() => 0)
  for (const [place, column] of kept.entries()) {
    coefficients[column] = solved[place]!
    standardErrors[column] = residualDeviation * spread[place]!
  }
  const residuals = y.map((value, row) => kept.reduce((left, c) => left - coefficients[c]! * columns[c]![row]!, value))
  return { coefficients, standardErrors, residuals, residualDeviation, degreesOfFreedom }
}

/** Turns columns and right-hand side so that each column kept ends at its own row; in place. */
function reflect(work: readonly Float64Array[], rest: Float64Array): { kept: number[]; diagonal: number[] } {
  const kept: number[] = []
  const diagonal: number[] = []
  for (const [place, column] of work.entries()) {
    const from = kept.length
    if (from >= rest.length) break
    const below = norm(column, from)
    if (below <= DEPENDENT * norm(column, 0)) continue
    const end = column[from]! > 0 ? -below : below
    const mirror = column.slice(from)
    mirror[0]! -= end
    const size = mirror.reduce((sum, value) => sum + value * value, 0)
    for (const other of [...work.slice(place + 1), rest]) {
      let dot = 0
      for (let row = 0; row < mirror.length; row++) dot += mirror[row]! * other[from + row]!
      const times = (2 * dot) / size
      for (let row = 0; row < mirror.length; row++) other[from + row]! -= times * mirror[row]!
    }
    kept.push(place)
    diagonal.push(end)
  }
  return { kept, diagonal }
}

function norm(column: Float64Array, from: number): number {
  let sum = 0
  for (let row = from; row < column.length; row++) sum += column[row]! ** 2
  return Math.sqrt(sum)
}

type Upper = (row: number, place: number) => number

function backSubstituted(p: number, upper: Upper, right: ArrayLike<number>): number[] {
  const solved = new Array<number>(p).fill(0)
  for (let row = p - 1; row >= 0; row--) {
    let value = right[row]!
    for (let place = row + 1; place < p; place++) value -= upper(row, place) * solved[place]!
    solved[row] = value / upper(row, row)
  }
  return solved
}

/** Roots of the diagonal of (RᵀR)⁻¹: the norms of the rows of R⁻¹. */
function inverseRowNorms(p: number, upper: Upper): number[] {
  const squares = new Array<number>(p).fill(0)
  for (let unit = 0; unit < p; unit++) {
    const right = new Array<number>(p).fill(0)
    right[unit] = 1
    for (const [row, value] of backSubstituted(p, upper, right).entries()) squares[row]! += value * value
  }
  return squares.map(Math.sqrt)
}
