/**
 * A request path with its parameters percent-encoded: path`/v1/tests/${testId}`.
 *
 * `.` and `..` would make the address another one, and an empty part would name the list instead of one of its
 * members, so all three are refused.
 *
 * @throws TypeError naming what is allowed.
 */
export function path(parts: TemplateStringsArray, ...values: readonly string[]): string {
  return parts.reduce((before, part, index) => `${before}${encodeSegment(values[index - 1])}${part}`)
}

function encodeSegment(value: unknown): string {
  if (typeof value !== 'string' || value === '' || value === '.' || value === '..') {
    throw new TypeError(
      `A path parameter must be a non-empty string other than '.' and '..', found ${JSON.stringify(value)}.`,
    )
  }
  return encodeURIComponent(value)
}
