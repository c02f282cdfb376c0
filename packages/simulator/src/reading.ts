/** From a true value to what is written down: steps of a scale, and times of a visit. */

/** The nearest step of a scale, without the dust of binary fractions. */
export function toStep(value: number, step: number): number {
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9)) + 2
  return Number((Math.round(value / step) * step).toFixed(decimals))
}

/** As a display with so many digits shows it. */
export const toDigits = (value: number, digits: number): number => Number(value.toPrecision(digits))

export interface Written<U extends string> {
  value: number
  unit: U
}

/** A reading as a sheet holds it. */
export const written = <const U extends string>(value: number, unit: U, step: number): Written<U> => ({
  value: toStep(value, step),
  unit,
})

/** Times of one visit, in minutes after midnight at the plant. */
export type Clock = (minutes: number) => string

const pad = (n: number): string => String(n).padStart(2, '0')

/** Clock of a day. The invented basin keeps seven hours behind UTC all year. */
export const clockOf =
  (day: string): Clock =>
  (minutes) => {
    const seconds = Math.round(minutes * 60)
    return `${day}T${pad(Math.floor(seconds / 3600))}:${pad(Math.floor(seconds / 60) % 60)}:${pad(seconds % 60)}-07:00`
  }

const DAY_MS = 86_400_000

/** Calendar date of a day counted from 1970-01-01. */
export const dateOf = (day: number): string => new Date(day * DAY_MS).toISOString().slice(0, 10)
/** Day counted from 1970-01-01. */
export const dayOf = (date: string): number => Math.round(Date.parse(`${date}T00:00:00Z`) / DAY_MS)
/** First day of a year. */
export const firstDayOf = (year: number): number => dayOf(`${year}-01-01`)
export const DAYS_OF_YEAR = 365.25
