import pg from 'pg'
import { expect, test } from 'vitest'
import type { Aftermath } from '../db/group-commit.ts'
import { aftermathOf } from './group-write.ts'
import { NotSendable, NotSent } from './write.ts'

/** As the driver makes it of an error message of the server. */
function said(code: string): pg.DatabaseError {
  const error = new pg.DatabaseError('said by the server', 1, 'error')
  error.code = code
  return error
}
/** As Node makes it of a system call that failed. */
const system = (code: string): Error => Object.assign(new Error(code), { code, errno: -1, syscall: 'write' })

const table: readonly (readonly [what: string, error: unknown, Aftermath])[] = [
  ['no connection', new NotSent(system('ECONNREFUSED')), 'nothing'],
  ['disk full', said('53100'), 'nothing'],
  ['out of memory', said('53200'), 'nothing'],
  ['input/output error', said('58030'), 'nothing'],
  ['a replica that takes no writes', said('25006'), 'nothing'],
  ['serialisation failure', said('40001'), 'again'],
  ['deadlock', said('40P01'), 'again'],
  ['lock not to be had in time', said('55P03'), 'again'],
  ['statement out of time', said('57014'), 'again'],
  ['a row that breaks a rule', said('23514'), 'one-item'],
  ['a row that is there already', said('23505'), 'one-item'],
  ['a value out of range', said('22003'), 'one-item'],
  ['an internal error of the server', said('XX000'), 'one-item'],
  ['a value that could not be put on the wire', new NotSendable(new RangeError('uuid must look like …')), 'one-item'],
  ['the server says that it does not know', said('40003'), 'unknown'],
  ['told to end', said('57P01'), 'unknown'],
  ['crashed', said('57P02'), 'unknown'],
  ['connection failure', said('08006'), 'unknown'],
  ['connection reset', system('ECONNRESET'), 'unknown'],
  // Five capitals, as codes of the server have.
  ['a pipe that broke', system('EPIPE'), 'unknown'],
  ['connection ended', new Error('Connection terminated unexpectedly'), 'unknown'],
  ['no answer in time', new Error('Query read timeout'), 'unknown'],
]

test.each(table)('%s', (_, error, aftermath) => {
  expect(aftermathOf(error)).toBe(aftermath)
})
