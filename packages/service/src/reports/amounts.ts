/** Amounts as people read them: units with their signs, a value with its interval. */
import { type Result, roundText } from '@liftledger/calc'
import { unitInWords } from '../render/units.ts'

/** Whether a unit begins with a number, as `1000 ft3/h` does. */
const isMultiple = (unit: string): boolean => /^\d+ /.test(unit)

/** `41.5 psi`; a ratio has no unit to be shown, and a unit that begins with a number is multiplied. */
export function amount(value: number | string, unit: string): string {
  if (unit === '1') return String(value)
  return `${value}${isMultiple(unit) ? ' ×' : ''} ${unitInWords(unit)}`
}

/** Digits of a value whose uncertainty is not stated. */
const SIGNIFICANT = 3

type Shown = Pick<Result, 'shown'>

/** What describes readings and measures nothing has no interval: then there is nothing to round to. */
function valueText({ shown: { value, expandedUncertainty, decimals } }: Shown): string {
  if (expandedUncertainty > 0) return roundText(value, decimals)
  const magnitude = value === 0 ? 0 : Math.floor(Math.log10(Math.abs(value)))
  return roundText(value, Math.max(0, SIGNIFICANT - 1 - magnitude))
}

export const figure = (result: Shown): string => amount(valueText(result), result.shown.unit)

/** `67.3 ± 1.7 %`: value and half-width of the 95 % interval. */
export function withHalfWidth(result: Shown): string {
  const { expandedUncertainty, unit, decimals } = result.shown
  if (!(expandedUncertainty > 0)) return figure(result)
  const both = `${valueText(result)} ± ${roundText(expandedUncertainty, decimals)}`
  return amount(isMultiple(unit) ? `(${both})` : both, unit)
}

/** `65.6 to 69.1 %`. */
export function ends({ shown: { value, expandedUncertainty, unit, decimals } }: Shown): string {
  if (!(expandedUncertainty > 0)) return 'not stated'
  return amount(
    `${roundText(value - expandedUncertainty, decimals)} to ${roundText(value + expandedUncertainty, decimals)}`,
    unit,
  )
}

/** `1150 gpm (1127 to 1172 gpm)`. */
export const between = (result: Shown): string => `${figure(result)} (${ends(result)})`
