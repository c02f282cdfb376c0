/**
 * Powers, logarithms and angles made of sums, products, quotients and square roots alone: those are exact to the last
 * bit on every engine, the library functions of engines are not. Good to about 1e-15, relative.
 */
import { PI } from './constants.ts'

const LN_2 = Math.LN2
const TERMS = 40

/** Natural logarithm of x > 0; NaN else. */
export function logarithm(x: number): number {
  if (!(x > 0) || x === Infinity) return Number.NaN
  let mantissa = x
  let exponent = 0
  while (mantissa > 1.5) {
    mantissa /= 2
    exponent++
  }
  while (mantissa < 0.75) {
    mantissa *= 2
    exponent--
  }
  // ln m = 2 artanh((m − 1) / (m + 1))
  const t = (mantissa - 1) / (mantissa + 1)
  const square = t * t
  let term = t
  let sum = 0
  for (let n = 1; n < 2 * TERMS; n += 2) {
    sum += term / n
    term *= square
  }
  return exponent * LN_2 + 2 * sum
}

function exponential(x: number): number {
  if (!(Math.abs(x) < 700)) return Number.NaN
  const twos = Math.round(x / LN_2)
  const rest = x - twos * LN_2
  let term = 1
  let sum = 1
  for (let n = 1; n < 25; n++) {
    term *= rest / n
    sum += term
  }
  const factor = twos < 0 ? 0.5 : 2
  for (let n = 0; n < Math.abs(twos); n++) sum *= factor
  return sum
}

/** x to the power p, for x ≥ 0; NaN for x < 0 unless p is a whole number. */
export function power(x: number, p: number): number {
  if (Number.isInteger(p) && Math.abs(p) <= 8) {
    let product = 1
    for (let n = 0; n < Math.abs(p); n++) product *= x
    return p < 0 ? 1 / product : product
  }
  // Halves, as weirs have them, by the square root.
  if (Number.isInteger(2 * p) && p > 0 && p < 8) return power(x, p - 0.5) * Math.sqrt(x)
  if (x === 0) return p > 0 ? 0 : Number.NaN
  return exponential(p * logarithm(x))
}

/** Sum of a series of alternating powers over factorials, from the term `first` on. */
function alternating(x: number, first: number): number {
  let term = first === 0 ? 1 : x
  let sum = 0
  for (let n = first; n < TERMS; n += 2) {
    sum += term
    term *= (-x * x) / ((n + 1) * (n + 2))
  }
  return sum
}

/** The same angle between −π and π. */
const reduced = (angle: number): number => angle - 2 * PI * Math.round(angle / (2 * PI))
/** Angles in rad. */
export const sine = (angle: number): number => alternating(reduced(angle), 1)
export const cosine = (angle: number): number => alternating(reduced(angle), 0)
export const tangent = (angle: number): number => sine(angle) / cosine(angle)

/** Angle in rad, 0 to π, whose cosine is x; NaN beyond −1 to 1. */
export function arccosine(x: number): number {
  if (!(Math.abs(x) <= 1)) return Number.NaN
  if (x === -1) return PI
  // arccos x = 2 arctan(√((1 − x) / (1 + x))), the tangent halved until its series is quick.
  let t = Math.sqrt((1 - x) / (1 + x))
  let halvings = 1
  while (t > 0.1) {
    t /= 1 + Math.sqrt(1 + t * t)
    halvings++
  }
  let term = t
  let sum = 0
  for (let n = 1; n < 40; n += 2) {
    sum += term / n
    term *= -t * t
  }
  for (let n = 0; n < halvings; n++) sum *= 2
  return sum
}
