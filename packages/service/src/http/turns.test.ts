import { expect, test } from 'vitest'
import { turnAfter } from './turns.ts'

test('turns are counted from 1 to 1,000', () => {
  expect([0, 1, 999].map(turnAfter)).toEqual([1, 2, 1_000])
})

test('after the last turn that is taken comes a conflict', () => {
  expect(() => turnAfter(1_000)).toThrow(expect.objectContaining({ code: 'conflict' }))
})
