/** Salts, which go before what is hashed for the log, so that nobody finds it by guessing. */
import { randomFillSync } from 'node:crypto'

const SALT_BYTES = 16

/** Makes salts of 16 random bytes. They are drawn for many at once: a draw costs more than its bytes. */
export function saltMaker(): () => Buffer {
  const pool = Buffer.allocUnsafe(SALT_BYTES * 256)
  let drawn = pool.length
  return () => {
    if (drawn === pool.length) {
      randomFillSync(pool)
      drawn = 0
    }
    drawn += SALT_BYTES
    // Copied, since the pool is filled again.
    return Buffer.from(pool.subarray(drawn - SALT_BYTES, drawn))
  }
}
