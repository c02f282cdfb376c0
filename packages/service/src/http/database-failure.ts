/** Failures of the database, told apart by what the caller may assume: nothing happened, or nobody knows. */
import { Problem } from './problem.ts'

const UNREACHABLE = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'ENOTFOUND',
  'ENOENT',
  'EPIPE',
  'ETIMEDOUT',
  // Postgres: shutting down, crashed, starting; too many connections; disk full.
  '57P01',
  '57P02',
  '57P03',
  '53300',
  '53100',
])
/** `pg` has no code for these; the texts are its own. */
const UNREACHABLE_TEXT =
  /^(Connection terminated|timeout exceeded when trying to connect|Client has encountered a connection error|Client was closed)/
const OUT_OF_TIME_TEXT = /^Query read timeout/
const OUT_OF_TIME = new Set(['57014', '55P03', '25P03'])
const OUT_OF_LUCK = new Set(['40001', '40P01'])

/** The problem that a failure of the database is answered with; undefined if the error is something else. */
export function databaseFailure(error: unknown): Problem | undefined {
  if (!(error instanceof Error)) return undefined
  // A refused connection to a host with several addresses comes as one error holding all of them.
  if (error instanceof AggregateError) return error.errors.map(databaseFailure).find((problem) => problem !== undefined)
  const code = 'code' in error ? String(error.code) : ''
  if (UNREACHABLE.has(code) || code.startsWith('08') || UNREACHABLE_TEXT.test(error.message)) {
    return new Problem('database-unavailable', 'The database does not answer at the moment.', { retryAfterS: 1 })
  }
  if (OUT_OF_LUCK.has(code)) {
    return new Problem('overloaded', 'Too many changes met in one place; nothing was stored.', { retryAfterS: 1 })
  }
  if (OUT_OF_TIME.has(code) || OUT_OF_TIME_TEXT.test(error.message))
    return new Problem('timeout', 'The database took too long; the outcome is unknown.')
  return undefined
}
