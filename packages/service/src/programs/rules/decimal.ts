/**
 * Exact decimal amounts: money and what multiplies it, never a binary fraction.
 *
 * A value is a whole number of units of 10^-scale. Sums and products are exact; rounding happens once, at the end, half
 * away from zero to the cent, as rule sets promise.
 */

export interface Decimal {
  readonly units: bigint
  readonly scale: number
}

/** How an amount is written: at most twelve digits before the point and nine behind it. */
export const DECIMAL_PATTERN = '^-?(0|[1-9][0-9]{0,11})(\\.[0-9]{1,9})?$'
const FORM = new RegExp(DECIMAL_PATTERN)

export const ZERO: Decimal = { units: 0n, scale: 0 }

/** Reads decimal text. Throws a RangeError for anything else. */
export function decimalOf(text: string): Decimal {
  if (!FORM.test(text)) throw new RangeError(`'${text}' is not an amount like 260.00.`)
  const [whole, behind = ''] = text.split('.') as [string, string?]
  return { units: BigInt(whole + behind), scale: behind.length }
}

const tenTo = (power: number): bigint => 10n ** BigInt(power)
const inScale = ({ units, scale }: Decimal, wanted: number): bigint => units * tenTo(wanted - scale)

export function sum(one: Decimal, other: Decimal): Decimal {
  const scale = Math.max(one.scale, other.scale)
  return { units: inScale(one, scale) + inScale(other, scale), scale }
}

export const negative = ({ units, scale }: Decimal): Decimal => ({ units: -units, scale })
export const difference = (one: Decimal, other: Decimal): Decimal => sum(one, negative(other))

export const product = (one: Decimal, other: Decimal): Decimal => ({
  units: one.units * other.units,
  scale: one.scale + other.scale,
})

/** Below zero, zero or above zero as the first is less, equal or greater. */
export function compared(one: Decimal, other: Decimal): number {
  const { units } = difference(one, other)
  return units < 0n ? -1 : units > 0n ? 1 : 0
}

export const lesser = (one: Decimal, other: Decimal): Decimal => (compared(one, other) <= 0 ? one : other)

/** Rounded to so many decimals, half away from zero. */
export function rounded(value: Decimal, decimals: number): Decimal {
  if (value.scale <= decimals) return { units: inScale(value, decimals), scale: decimals }
  const step = tenTo(value.scale - decimals)
  const size = value.units < 0n ? -value.units : value.units
  const up = (2n * size + step) / (2n * step)
  return { units: value.units < 0n ? -up : up, scale: decimals }
}

/** An amount of money: rounded to the cent. */
export const moneyText = (value: Decimal): string => textOf(rounded(value, 2))

/** Every digit that the value has. */
export function textOf({ units, scale }: Decimal): string {
  const digits = String(units < 0n ? -units : units).padStart(scale + 1, '0')
  const text = scale === 0 ? digits : `${digits.slice(0, -scale)}.${digits.slice(-scale)}`
  return units < 0n ? `-${text}` : text
}
