/** Random bytes in small portions. */
import { randomFillSync } from 'node:crypto'

/** Drawn for many at once: a draw costs more than its bytes. */
const drawn = Buffer.allocUnsafeSlow(8_192)
let used = drawn.length

/** So many bytes from the system's cryptographic source, at most a few hundred. The caller's own: never handed out again. */
export function randomPortion(bytes: number): Buffer {
  if (used + bytes > drawn.length) {
    randomFillSync(drawn)
    used = 0
  }
  const portion = Buffer.from(drawn.subarray(used, used + bytes))
  // What was given away is not kept.
  drawn.fill(0, used, used + bytes)
  used += bytes
  return portion
}

const SALT_BYTES = 16

/** A salt, which goes before what is hashed for the log, so that nobody finds it by guessing. */
export const newSalt = (): Buffer => randomPortion(SALT_BYTES)
