import { expect, test } from 'vitest'
import { traceContext } from './trace-context.ts'

// The example of W3C Trace Context (Recommendation, 2021), section 3.2.2.
const traceId = '4bf92f3577b34da6a3ce929d0e0e4736'
const parentId = '00f067aa0ba902b7'

test.each([
  [`00-${traceId}-${parentId}-01`, true],
  [`00-${traceId}-${parentId}-00`, false],
  // Of other flags nothing is known yet; of a later version what comes behind.
  [`00-${traceId}-${parentId}-03`, true],
  [`01-${traceId}-${parentId}-01-more`, true],
])('%s is one', (field, sampled) => {
  expect(traceContext(field)).toEqual({ traceId, parentId, sampled })
})

test.each([
  undefined,
  '',
  traceId,
  `00-${traceId}-${parentId}`,
  `00-${traceId}-${parentId}-01-more`,
  `ff-${traceId}-${parentId}-01`,
  `00-${traceId.toUpperCase()}-${parentId}-01`,
  `00-${'0'.repeat(32)}-${parentId}-01`,
  `00-${traceId}-${'0'.repeat(16)}-01`,
  `00-${traceId}-${parentId}-01\n`,
  ` 00-${traceId}-${parentId}-01`,
  `01-${traceId}-${parentId}-01-${'x'.repeat(600)}`,
])('%s is none', (field) => {
  expect(traceContext(field)).toBeUndefined()
})

test('two fields are none', () => {
  const field = `00-${traceId}-${parentId}-01`
  expect(traceContext([field, field])).toBeUndefined()
})
