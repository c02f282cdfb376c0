/** Amounts of money: exact decimals, never a binary fraction; rounded once, at the end. */
import Big from 'big.js'

/** How an amount is written: at most twelve digits before the point and nine behind it. */
export const DECIMAL_PATTERN = '^-?(0|[1-9][0-9]{0,11})(\\.[0-9]{1,9})?$'
const FORM = new RegExp(DECIMAL_PATTERN)

export const ZERO = new Big(0)

/** Reads an amount. Throws a RangeError for what is not written like one. */
export function moneyOf(text: string): Big {
  if (!FORM.test(text)) throw new RangeError(`'${text}' is not an amount like 260.00.`)
  return new Big(text)
}

/** Rounded to the cent, half away from zero, as rule sets promise. */
export function moneyText(value: Big): string {
  const cents = value.round(2, Big.roundHalfUp)
  return (cents.eq(0) ? ZERO : cents).toFixed(2)
}
