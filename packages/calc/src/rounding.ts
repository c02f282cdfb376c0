/** How a result is written for people: uncertainty to two significant digits, value to the same place. */
/**
 * Decimal text with the given decimals, halves away from zero. A half is judged on the shortest decimal text of the
 * number: 1.005 becomes 1.01, although the nearest binary fraction lies a hair below it.
 */
export function roundText(value: number, decimals: number): string {
  const [mantissa, exponent] = Math.abs(value).toExponential().split('e') as [string, string]
  const digits = mantissa.replace('.', '')
  const kept = Number(exponent) + 1 + decimals
  let units = kept < 0 ? 0n : BigInt(digits.slice(0, kept).padEnd(kept, '0'))
  if (kept >= 0 && kept < digits.length && digits.charAt(kept) >= '5') units += 1n
  const text = units.toString().padStart(decimals + 1, '0')
  const whole = text.slice(0, text.length - decimals)
  const shown = decimals === 0 ? whole : `${whole}.${text.slice(-decimals)}`
  return value < 0 && units !== 0n ? `−${shown}` : shown
}
