import { describe, expect, test } from 'vitest'
import { runSuite, vectorSuites } from './testing/index.ts'

describe('published vectors', () => {
  test.each(
    vectorSuites.map((suite) => [
      `${suite.id}: ${suite.source}${suite.full ? '' : '; small table, since the full suite is not at hand'}`,
      suite,
    ]),
  )('%s', async (_, suite) => {
    if (typeof suite === 'string') throw new Error('No suite.')
    const { passed, total, failures } = await runSuite(suite)
    expect(failures).toEqual([])
    expect(passed).toBe(total)
    expect(total).toBeGreaterThan(0)
  })
})
