/** Days of a program: in the time zone that its rules name. */
import { Problem } from '../http/problem.ts'
import type { RuleSetContent } from './rules/schema.ts'

type Zoned = Pick<RuleSetContent, 'timeZone'>

/** Refuses a time zone that the tz database (IANA) does not have under that name. */
export function insistOnTimeZone({ timeZone }: Zoned): void {
  try {
    new Intl.DateTimeFormat('en-CA', { timeZone })
  } catch {
    throw new Problem('invalid-request', 'There is no such time zone; nothing was stored.', {
      errors: [
        {
          pointer: '/timeZone',
          code: 'unknown-value',
          message: `'${timeZone}' is no time zone of the tz database, such as Etc/GMT+7.`,
        },
      ],
    })
  }
}

/** The day it is there, `YYYY-MM-DD`. */
export function todayIn({ timeZone }: Zoned, now: Date): string {
  const parts = new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' })
  const of = Object.fromEntries(parts.formatToParts(now).map(({ type, value }) => [type, value]))
  return `${of.year}-${of.month}-${of.day}`
}
