/** Whole days, written `YYYY-MM-DD`. */
const DAY_MS = 86_400_000
/** Mean year of the Gregorian calendar (ISO 8601: 146,097 days in 400 years). */
export const DAYS_A_YEAR = 146_097 / 400

/** Days since 1970-01-01. */
export const dayNumber = (day: string): number => Date.parse(`${day}T00:00:00Z`) / DAY_MS

export const dayOf = (number: number): string => new Date(number * DAY_MS).toISOString().slice(0, 10)

/** The day of a moment in UTC, for readers whose own time zone is not on record. */
export const dayInUtc = (moment: Date): string => moment.toISOString().slice(0, 10)
