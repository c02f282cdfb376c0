/** The log: one JSON line an event, on stdout, without anything that opens a door. */
import { type DestinationStream, type Logger, pino } from 'pino'

/** What never belongs in a log, wherever it turns up. */
const REDACTED = ['authorization', 'cookie', 'key', 'secret', 'pepper', 'password', 'connectionString']

export function makeLog(level: string, stream: DestinationStream = pino.destination({ sync: false })): Logger {
  const options = {
    level,
    redact: REDACTED.flatMap((name) => [name, `*.${name}`, `*.*.${name}`]),
    // Errors of the driver carry more than they should: the URL, the query with its values.
    serializers: { err: describe },
  }
  return pino(options, stream)
}

function describe(error: unknown): unknown {
  if (!(error instanceof Error)) return error
  const { name, message, stack } = error
  return { type: name, message, stack, ...('code' in error && { code: error.code }) }
}
