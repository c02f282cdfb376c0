/** When a visit was: spans of its runs, and its first and last moment. Seconds since 1970-01-01T00:00:00Z. */
import { secondsOf } from '../instants.ts'
import type { Sheet } from '../sheet.ts'

export interface Span {
  readonly from: number
  readonly to: number
}

/** Calls `found` with the time of each reading, wherever it stands. */
function eachTime(part: unknown, found: (seconds: number) => void): void {
  if (Array.isArray(part)) for (const one of part) eachTime(one, found)
  else if (typeof part === 'object' && part !== null)
    for (const [name, value] of Object.entries(part))
      if (name === 'at' && typeof value === 'string') found(secondsOf(value))
      else eachTime(value, found)
}

function spanOf(part: unknown, ends: readonly (string | undefined)[] = []): Span | undefined {
  let from = Number.POSITIVE_INFINITY
  let to = Number.NEGATIVE_INFINITY
  const take = (seconds: number): void => {
    from = Math.min(from, seconds)
    to = Math.max(to, seconds)
  }
  for (const end of ends) if (end !== undefined) take(secondsOf(end))
  eachTime(part, take)
  return from <= to ? { from, to } : undefined
}

/**
 * Span of each run that has a time, from its first to its last reading. The standing level is left out: it may have
 * been read long before, and the tester been elsewhere in between.
 */
export const spansOfRuns = ({ runs }: Sheet): Span[] =>
  runs.flatMap((run) => spanOf(run, [run.startedAt, run.endedAt]) ?? [])

/** Span of all readings of a visit; undefined if no time was noted. */
export const spanOfReadings = (sheet: Sheet): Span | undefined =>
  spanOf(
    sheet,
    sheet.runs.flatMap(({ startedAt, endedAt }) => [startedAt, endedAt]),
  )

/** First moment that lies in two of the spans; undefined if they only touch or lie apart. */
export function overlapOf(own: readonly Span[], others: readonly Span[]): Span | undefined {
  for (const a of own)
    for (const b of others)
      if (a.from < b.to && b.from < a.to) return { from: Math.max(a.from, b.from), to: Math.min(a.to, b.to) }
  return undefined
}
