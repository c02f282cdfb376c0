/** Clock times of a sheet as seconds, without the platform's date: the same everywhere. */

/** Days from 1970-01-01 to a date of the proleptic Gregorian calendar. */
function daysFromEpoch(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year
  const era = Math.floor(y / 400)
  const yearOfEra = y - era * 400
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1
  const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear
  return era * 146097 + dayOfEra - 719468
}

const digits = (text: string, from: number, to: number): number => {
  let value = 0
  for (let i = from; i < to; i++) value = value * 10 + (text.charCodeAt(i) - 48)
  return value
}

/** Days since 1970-01-01 of a date `YYYY-MM-DD`. */
export function dayNumber(day: string): number {
  return daysFromEpoch(digits(day, 0, 4), digits(day, 5, 7), digits(day, 8, 10))
}

/** Seconds since 1970-01-01T00:00:00Z of an RFC 3339 time with offset; the schema has checked its form. */
export function secondsOf(instant: string): number {
  let seconds =
    dayNumber(instant) * 86400 + digits(instant, 11, 13) * 3600 + digits(instant, 14, 16) * 60 + digits(instant, 17, 19)
  let at = 19
  if (instant.charCodeAt(at) === 46) {
    let scale = 0.1
    for (at++; at < instant.length && instant.charCodeAt(at) >= 48 && instant.charCodeAt(at) <= 57; at++) {
      seconds += (instant.charCodeAt(at) - 48) * scale
      scale /= 10
    }
  }
  const sign = instant.charAt(at)
  if (sign === '+' || sign === '-') {
    // RFC 3339 asks for the colon and the minutes; lenient validators let their absence through.
    const minutesAt = instant.charCodeAt(at + 3) === 58 ? at + 4 : at + 3
    const minutes = minutesAt < instant.length ? digits(instant, minutesAt, minutesAt + 2) : 0
    const offset = digits(instant, at + 1, at + 3) * 3600 + minutes * 60
    seconds += sign === '+' ? -offset : offset
  }
  return seconds
}
