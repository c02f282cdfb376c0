/** What the client tells a logger, with keys taken out. */

/** Anything with these two; `console` will do. */
export interface Logger {
  debug(message: string, details?: object): void
  warn(message: string, details?: object): void
}

// The first two parts of a key, `llk_<env>_<id>`, name it without opening anything; the rest is the secret.
const KEY = /(llk_[A-Za-z0-9]+_[A-Za-z0-9]{12})_[A-Za-z0-9]+/g
const BEARER = /(bearer\s+)(?!llk_)\S+/gi

/** The text with the secret part of each API key, and any other bearer token, replaced. */
export const redact = (text: string): string => text.replaceAll(KEY, '$1_[redacted]').replaceAll(BEARER, '$1[redacted]')

/** A logger whose messages and details, at any depth, hold no key. */
export function redacting(logger: Logger): Logger {
  return {
    debug: (message, details) => logger.debug(redact(message), redactObject(details)),
    warn: (message, details) => logger.warn(redact(message), redactObject(details)),
  }
}

function redactObject(details: object | undefined): object {
  return Object.fromEntries(
    Object.entries(details ?? {}).map(([name, value]: [string, unknown]) => {
      if (typeof value === 'string') return [name, redact(value)]
      return [name, typeof value === 'object' && value !== null ? redactObject(value) : value]
    }),
  )
}
