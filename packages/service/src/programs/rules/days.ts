/** Whole days of the calendar, written `YYYY-MM-DD`, in the time zone of the program. Windows include both ends. */

const DAY_MS = 86_400_000

/** Days since 1970-01-01 in the proleptic Gregorian calendar (ISO 8601). Throws a RangeError for what is no day. */
export function dayNumber(day: string): number {
  const ms = /^\d{4}-\d\d-\d\d$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : Number.NaN
  if (Number.isNaN(ms) || new Date(ms).toISOString().slice(0, 10) !== day) throw new RangeError(`'${day}' is no day.`)
  return ms / DAY_MS
}

export const dayOf = (number: number): string => new Date(number * DAY_MS).toISOString().slice(0, 10)

export const daysLater = (day: string, days: number): string => dayOf(dayNumber(day) + days)

/** How many days after the first the second is; negative where it is before. */
export const daysBetween = (from: string, to: string): number => dayNumber(to) - dayNumber(from)

/** The same calendar day so many years later; 28 February for a 29th that there is not. */
export function yearsLater(day: string, years: number): string {
  dayNumber(day)
  const year = String(Number(day.slice(0, 4)) + years).padStart(4, '0')
  const same = `${year}${day.slice(4)}`
  try {
    dayNumber(same)
    return same
  } catch {
    return `${year}-02-28`
  }
}

export interface Window {
  readonly first: string
  readonly last: string
}

export const isWithin = (day: string, { first, last }: Window): boolean => first <= day && day <= last
export const overlap = (one: Window, other: Window): boolean => one.first <= other.last && other.first <= one.last
/** Days of a window, both ends counted. */
export const lengthOf = ({ first, last }: Window): number => daysBetween(first, last) + 1
