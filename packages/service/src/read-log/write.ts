/** Writes reads: one message, one transaction, however many they are. */
import type pg from 'pg'
import { int4Array, textArray, timestamptzArray, uuidArray } from '../db/binary-array.ts'
import { fromWire } from '../http/ids.ts'
import type { Read } from './rows.ts'

/**
 * Stores all or none, durably when it returns, each in the hour in which it was read or a later one that is open.
 *
 * Throws what the database throws, and RangeError for what can’t be sent.
 */
export async function writeReads(pool: pg.Pool, reads: readonly Read[]): Promise<void> {
  if (reads.length === 0) return
  const column = <T>(of: (read: Read) => T): T[] => reads.map(of)
  await pool.query({
    name: 'write_reads',
    text: 'select ll.write_reads($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)',
    values: [
      timestamptzArray(column(({ at }) => at)),
      textArray(column(({ principal }) => principal.keyId)),
      textArray(column(({ principal }) => principal.role)),
      uuidArray(column(({ principal }) => principal.firmId)),
      uuidArray(column(({ principal }) => principal.programId)),
      textArray(column(({ operation }) => operation)),
      uuidArray(column(({ testUuid, test }) => testUuid ?? (test && fromWire('test', test)))),
      uuidArray(column(({ plant }) => plant && fromWire('plant', plant))),
      textArray(column(({ filter }) => filter)),
      int4Array(column(({ count }) => count)),
      textArray(column(({ requestId }) => requestId)),
    ],
  })
}
