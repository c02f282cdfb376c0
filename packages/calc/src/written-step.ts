/** The last digit that was written. */

/**
 * Size of the last decimal place of a number as JSON carries it: 0.01 for 141.73, 1 for 778.
 * Zeros at the end are not carried, so the step may come out too large, never too small.
 */
export function writtenStep(value: number): number {
  const text = String(Math.abs(value))
  const [digits, exponent] = text.split('e') as [string, string | undefined]
  const point = digits.indexOf('.')
  const decimals = point < 0 ? 0 : digits.length - point - 1
  // Read as a decimal, so that it is the nearest number on every engine.
  return Number(`1e${Number(exponent ?? 0) - decimals}`)
}
