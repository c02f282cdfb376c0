/** The log: one JSON line an event, on stdout, without anything that opens a door. */
import { type DestinationStream, type Logger, pino } from 'pino'

/** What never belongs in a log, wherever it turns up. */
const REDACTED = ['authorization', 'cookie', 'key', 'secret', 'pepper', 'password', 'connectionString', 'token']

const CENSOR = '[Redacted]'
const DEPTH_MAX = 6

export function makeLog(level: string, stream: DestinationStream = standardOutput()): Logger {
  return pino(
    {
      level,
      // Names at the top of a line. Paths with wildcards would make every line ten times as dear: what lies deeper is
      // looked through only where there is something deeper, which the line of a request has not.
      redact: { paths: REDACTED, censor: CENSOR },
      formatters: { log: withoutSecrets },
      serializers: { err: describe, msg: withoutCredentials },
    },
    stream,
  )
}

/** Lines leave some at a time, since each write costs more than a line; none waits longer than this, and none at the end. */
const FLUSH_EVERY_MS = 200
const FLUSH_BYTES = 4_096

const standardOutput = (): DestinationStream =>
  pino.destination({ sync: false, minLength: FLUSH_BYTES, periodicFlush: FLUSH_EVERY_MS })

/** The fields of a line: as they are while all are plain values, else a copy without secrets at any depth. */
function withoutSecrets(fields: Record<string, unknown>): Record<string, unknown> {
  for (const name in fields) {
    if (typeof fields[name] === 'object') return copyWithoutSecrets(fields, 0) as Record<string, unknown>
  }
  return fields
}

function copyWithoutSecrets(value: unknown, depth: number): unknown {
  if (typeof value !== 'object' || value === null || value instanceof Date) return value
  if (value instanceof Error) return describe(value)
  if (depth === DEPTH_MAX || ArrayBuffer.isView(value)) return CENSOR
  if (Array.isArray(value)) return value.map((one) => copyWithoutSecrets(one, depth + 1))
  return Object.fromEntries(
    Object.entries(value).map(([name, one]) => [
      name,
      isSecret(name) ? CENSOR : copyWithoutSecrets(typeof one === 'string' ? withoutCredentials(one) : one, depth + 1),
    ]),
  )
}

const secrets = new Set(REDACTED.map((name) => name.toLowerCase()))
const isSecret = (name: string): boolean => secrets.has(name.toLowerCase())

/** Errors of the driver carry more than they should: the URL, the query with its values. */
function describe(error: unknown): unknown {
  if (!(error instanceof Error)) return error
  const { name, message, stack } = error
  return {
    type: name,
    message: withoutCredentials(message),
    stack: withoutCredentials(stack ?? ''),
    ...('code' in error && { code: error.code }),
  }
}

// The first parts of a key name it and open nothing.
const KEY = /(llk_[A-Za-z0-9]+_[A-Za-z0-9]{12})_[A-Za-z0-9]+/g
const PASSWORD_IN_URL = /([a-z][a-z0-9+.-]*:\/\/[^\s:/?#@]*):[^\s/?#@]+@/gi

/** A text without keys and without passwords in addresses. */
function withoutCredentials(text: string): string {
  if (!text.includes('llk_') && !text.includes('://')) return text
  return text.replaceAll(KEY, `$1_${CENSOR}`).replaceAll(PASSWORD_IN_URL, `$1:${CENSOR}@`)
}
