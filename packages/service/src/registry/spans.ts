/** Days from and until which something stands. */
import { Problem, type ProblemItem } from '../http/problem.ts'

interface Span {
  readonly validFrom: string
  readonly validUntil: string
}

/** The day by UTC; who means another day says so. */
export const today = (now: Date): string => now.toISOString().slice(0, 10)

/** Refuses a last day before the first; `pointer` is the place of the last. */
export function refuseBackwardSpan(pointer: string, first: string, last: string): void {
  if (first > last) throw backward([endsBefore(pointer, first, last)])
}

/** Refuses spans that end before they begin. Keys are JSON Pointers of the spans in the body. */
export function refuseBackwardSpans(spans: Readonly<Record<string, Span | undefined>>): void {
  const errors = Object.entries(spans).flatMap(([pointer, span]): ProblemItem[] =>
    span === undefined || span.validFrom <= span.validUntil
      ? []
      : [endsBefore(`${pointer}/validUntil`, span.validFrom, span.validUntil)],
  )
  if (errors.length > 0) throw backward(errors)
}

const endsBefore = (pointer: string, first: string, last: string): ProblemItem => ({
  pointer,
  code: 'wrong-shape',
  message: `It ends on ${last}, before it begins on ${first}.`,
})

const backward = (errors: readonly ProblemItem[]): Problem =>
  new Problem('invalid-request', 'A span of days runs backwards; nothing was stored.', { errors })
