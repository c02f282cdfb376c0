/** What the service says about the end of an operation, for the log. */

export interface EndOfLife {
  /** Since when it should no longer be used, as a time; as sent, where it is none. */
  readonly deprecatedSince?: string
  /** When it will stop answering. */
  readonly sunset?: string
  /** Address of a page that says what to use instead. */
  readonly successor?: string
}

/** From `Deprecation` (RFC 9745: `@` and Unix seconds), `Sunset` (RFC 8594: an HTTP date) and `Link`; empty if none is there. */
export function endOfLife(headers: Headers): EndOfLife {
  const [deprecation, sunset] = [headers.get('deprecation'), headers.get('sunset')]
  const successor = /<([^>]*)>\s*;[^,]*\brel="?(?:deprecation|successor-version)"?/.exec(headers.get('link') ?? '')?.[1]
  if (deprecation === null && sunset === null) return {}
  return {
    ...(deprecation !== null && { deprecatedSince: timeOf(deprecation) }),
    ...(sunset !== null && { sunset: timeOf(sunset) }),
    ...(successor !== undefined && { successor }),
  }
}

function timeOf(field: string): string {
  const seconds = /^@(-?\d{1,11})$/.exec(field)?.[1]
  const ms = seconds === undefined ? Date.parse(field) : Number(seconds) * 1000
  return Number.isNaN(ms) ? field : new Date(ms).toISOString()
}
