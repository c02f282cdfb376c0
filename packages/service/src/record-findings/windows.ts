/** The marks by which readings that were used before are looked for over all tests. */
import { comparedReadings, type Sheet, windowTexts } from '@liftledger/calc'
import { sha256 } from '../http/sha256.ts'

/**
 * One number for each window of successive readings: the first eight bytes of the SHA-256 of its text, as a signed 64-bit
 * integer in decimal. Two windows that share a number by chance are compared, and nothing comes of it. Those that are
 * stored are held against these by the audit: another way of making them is another table.
 */
export function windowsOf(sheet: Sheet): string[] {
  const hashes = windowTexts(comparedReadings(sheet)).map((text) => sha256(text).readBigInt64BE(0).toString())
  return [...new Set(hashes)]
}
