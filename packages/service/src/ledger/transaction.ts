/** One transaction on a connection of a pool, under the lock that lets one process at a time work on the tree. */
import type pg from 'pg'

/** Any constant; equal in all processes on one database, and no other lock's. */
const LOCK = 7_302_011_555

/**
 * Runs `work` in a transaction that holds the lock, waiting for it. The lock goes with the transaction, so that a
 * process that dies lets go of it.
 */
export function withLock<T>(pool: pg.Pool, work: (client: pg.PoolClient) => Promise<T>): Promise<T> {
  return inTransaction(pool, async (client) => {
    await client.query('select pg_advisory_xact_lock($1)', [LOCK])
    return work(client)
  })
}

/** The same if nobody holds the lock, that of the tree or another; undefined, without waiting, if somebody does. */
export function ifUnlocked<T>(
  pool: pg.Pool,
  work: (client: pg.PoolClient) => Promise<T>,
  lock = LOCK,
): Promise<T | undefined> {
  return inTransaction(pool, async (client) => {
    const { rows } = await client.query<{ mine: boolean }>('select pg_try_advisory_xact_lock($1) as mine', [lock])
    return rows[0]!.mine ? work(client) : undefined
  })
}

async function inTransaction<T>(pool: pg.Pool, work: (client: pg.PoolClient) => Promise<T>): Promise<T> {
  const client = await pool.connect()
  let failed: Error | undefined
  try {
    await client.query('begin')
    const result = await work(client)
    await client.query('commit')
    return result
  } catch (error) {
    failed = error as Error
    throw error
  } finally {
    // Closed after a failure: with the connection the server ends the transaction, whatever state it was in.
    client.release(failed)
  }
}
