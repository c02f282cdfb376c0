import { goldenCase } from '@liftledger/calc/testing'
import { expect, test } from 'vitest'
import { sha256Hex } from '../http/sha256.ts'
import { windowsOf } from './windows.ts'

test('the marks of a sheet are those that databases hold, for good', () => {
  const marks = windowsOf(goldenCase('SHEET-01').sheet)
  expect([marks.length, marks[0], sha256Hex(marks.join(' '))]).toMatchInlineSnapshot(`
    [
      33,
      "2473843354241006264",
      "778d901af798259bb323c7b6bda5e46b24edfd3ca81f4032795f3e23e76e23c5",
    ]
  `)
})
