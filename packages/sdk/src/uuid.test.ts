import { describe, expect, test } from 'vitest'
import { uuidV7 } from './uuid.ts'

describe('an idempotency key', () => {
  test('begins with the time and says its version and variant', () => {
    // RFC 9562, appendix A.6: 2022-02-22T19:22:22Z is 017F22E2-79B0-7…
    expect(uuidV7(0x017f22e279b0)).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
  })

  test('differs within one millisecond', () => {
    expect(new Set(Array.from({ length: 1000 }, () => uuidV7(1))).size).toBe(1000)
  })
})
