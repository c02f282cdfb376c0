/** Days from and until which something stands. */
import { Problem, type ProblemItem } from '../http/problem.ts'

interface Span {
  readonly validFrom: string
  readonly validUntil: string
}

/** Refuses spans that end before they begin. Keys are JSON Pointers of the spans in the body. */
export function refuseBackwardSpans(spans: Readonly<Record<string, Span | undefined>>): void {
  const errors = Object.entries(spans).flatMap(([pointer, span]): ProblemItem[] =>
    span === undefined || span.validFrom <= span.validUntil
      ? []
      : [
          {
            pointer: `${pointer}/validUntil`,
            code: 'wrong-shape',
            message: `It ends on ${span.validUntil}, before it begins on ${span.validFrom}.`,
          },
        ],
  )
  if (errors.length > 0)
    throw new Problem('invalid-request', 'A span of days runs backwards; nothing was stored.', { errors })
}
