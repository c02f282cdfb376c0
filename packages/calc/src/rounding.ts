/** How a result is written for people: uncertainty to two significant digits, value to the same place. */
import type { Result } from './evaluation.ts'

/** Decimal text with the given decimals, halves away from zero. */
export function roundText(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(Math.min(decimals, 20))
  return value < 0 && Number(text) !== 0 ? `−${text}` : text
}

/** `67.3 ± 3.5 %`: value and half-width of the 95 % interval in the unit shown. */
export function formatResult(result: Result): string {
  const { value, unit, expandedUncertainty, decimals } = result.shown
  const text = `${roundText(value, decimals)} ± ${roundText(expandedUncertainty, decimals)}`
  return unit === '1' ? text : `${text} ${unit}`
}
