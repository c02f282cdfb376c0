/** Arithmetic mean, summed in order. NaN for none. */
export function mean(values: readonly number[]): number {
  let sum = 0
  for (const value of values) sum += value
  return sum / values.length
}
