/**
 * Parshall flumes: coefficient and exponent of Q = C h^n (ft, s), range of heads in ft, and the ratio of heads up to
 * which flow is free. US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001, ch. 8 (from memory).
 */
import { power } from '../elementary.ts'

const FOOT = 0.3048
const CUBIC_FOOT = power(FOOT, 3)

export interface ParshallSize {
  /** Throat in m. */
  readonly throat: number
  /** In SI, for head in m. */
  readonly coefficient: number
  readonly exponent: number
  readonly headMin: number
  readonly headMax: number
  readonly freeUpTo: number
}

const size = (
  throatFt: number,
  coefficient: number,
  exponent: number,
  [low, high]: readonly [number, number],
  freeUpTo: number,
): ParshallSize => ({
  throat: throatFt * FOOT,
  coefficient: (coefficient * CUBIC_FOOT) / power(FOOT, exponent),
  exponent,
  headMin: low * FOOT,
  headMax: high * FOOT,
  freeUpTo,
})

export const parshallSizes: readonly ParshallSize[] = [
  size(1 / 12, 0.338, 1.55, [0.05, 0.7], 0.5),
  size(2 / 12, 0.676, 1.55, [0.05, 0.8], 0.5),
  size(3 / 12, 0.992, 1.547, [0.1, 1.1], 0.5),
  size(6 / 12, 2.06, 1.58, [0.1, 1.5], 0.6),
  size(9 / 12, 3.07, 1.53, [0.1, 2], 0.6),
  size(1, 4, 1.522, [0.1, 2.5], 0.7),
  size(1.5, 6, 1.538, [0.1, 2.5], 0.7),
  size(2, 8, 1.55, [0.15, 2.5], 0.7),
  size(3, 12, 1.566, [0.15, 2.5], 0.7),
  size(4, 16, 1.578, [0.2, 2.5], 0.7),
  size(5, 20, 1.587, [0.2, 2.5], 0.7),
  size(6, 24, 1.595, [0.2, 2.5], 0.7),
  size(7, 28, 1.601, [0.2, 2.5], 0.7),
  size(8, 32, 1.607, [0.2, 2.5], 0.7),
  size(10, 39.38, 1.6, [0.3, 2.75], 0.8),
  size(12, 46.75, 1.6, [0.3, 3.5], 0.8),
  size(15, 57.81, 1.6, [0.3, 4], 0.8),
  size(20, 76.25, 1.6, [0.3, 5], 0.8),
  size(25, 94.69, 1.6, [0.3, 6], 0.8),
  size(30, 113.13, 1.6, [0.3, 6], 0.8),
  size(40, 150, 1.6, [0.3, 6], 0.8),
  size(50, 186.88, 1.6, [0.3, 6], 0.8),
]

/** How far a throat may be from the nominal one of its size, relative. */
const TOLERANCE = 0.02

/** The size that a throat in m is of; undefined where the table has none. */
export const parshallSizeOf = (throat: number): ParshallSize | undefined =>
  parshallSizes.find((one) => Math.abs(throat / one.throat - 1) <= TOLERANCE)
