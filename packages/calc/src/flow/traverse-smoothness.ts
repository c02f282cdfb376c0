/** How smooth a measured profile is: the point that lies farthest from a fitted curve. */

/** A curve of three terms needs some points more than that to show which of them is off. */
const FEWEST_POINTS = 6

/** Columns of a matrix at right angles to each other, each of length one: what a fit of these terms spans. */
type Basis = readonly (readonly number[])[]

/** Terms 1, L and L² of the logarithm of the wall distance, made perpendicular one after the other (Gram and Schmidt). */
function basisOf(shares: readonly number[]): Basis | undefined {
  const logs = shares.map((share) => Math.log(2 * Math.min(share, 1 - share)))
  if (!logs.every(Number.isFinite)) return undefined
  const basis: number[][] = []
  for (const power of [0, 1, 2]) {
    const column = logs.map((log) => log ** power)
    for (const earlier of basis) {
      const along = dot(column, earlier)
      for (let i = 0; i < column.length; i++) column[i] = column[i]! - along * earlier[i]!
    }
    const length = Math.sqrt(dot(column, column))
    // Points at fewer than three distances from the wall don’t tell a curve.
    if (!(length > 1e-9)) return undefined
    basis.push(column.map((value) => value / length))
  }
  return basis
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}

/** Bases of the positions that the rules give, which are the same lists again and again. */
const known = new WeakMap<readonly number[], { readonly basis: Basis | undefined }>()

function basisOfRule(shares: readonly number[]): Basis | undefined {
  let found = known.get(shares)
  if (found === undefined) {
    found = { basis: basisOf(shares) }
    known.set(shares, found)
  }
  return found.basis
}

interface OffProfile {
  /** Index along the diameter. */
  readonly point: number
  /** Distance from the fitted curve relative to the mean, without sign. */
  readonly residual: number
}

/**
 * The point farthest from the least-squares curve v = a + b L + c L², L = ln(2 y/D), through all points of a diameter.
 * Undefined where there are too few points, or no mean to compare with.
 *
 * @param velocities along the diameter, m/s
 * @param shares distances from the near wall, as shares of the diameter
 * @param ofRule true if `shares` is a list of the rule, which may be remembered
 */
export function farthestFromProfile(
  velocities: readonly number[],
  shares: readonly number[],
  ofRule: boolean,
): OffProfile | undefined {
  const n = velocities.length
  if (n < FEWEST_POINTS || shares.length !== n) return undefined
  const basis = ofRule ? basisOfRule(shares) : basisOf(shares)
  if (basis === undefined) return undefined
  let mean = 0
  for (let i = 0; i < n; i++) mean += velocities[i]! / n
  if (mean === 0) return undefined
  const [a, b, c] = basis as [readonly number[], readonly number[], readonly number[]]
  const alongA = dot(velocities, a)
  const alongB = dot(velocities, b)
  const alongC = dot(velocities, c)
  let point = 0
  let farthest = -1
  for (let i = 0; i < n; i++) {
    const off = Math.abs(velocities[i]! - alongA * a[i]! - alongB * b[i]! - alongC * c[i]!)
    if (off > farthest) {
      farthest = off
      point = i
    }
  }
  return { point, residual: farthest / Math.abs(mean) }
}
