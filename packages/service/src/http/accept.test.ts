import { describe, expect, test } from 'vitest'
import { acceptedForm } from './accept.ts'

const OFFERED = ['application/json', 'text/csv'] as const

describe('the form of an answer', () => {
  // Examples of RFC 9110, 12.5.1, and what clients send.
  test.each([
    [undefined, 'application/json'],
    ['', 'application/json'],
    ['*/*', 'application/json'],
    ['text/csv', 'text/csv'],
    ['TEXT/CSV; header=present', 'text/csv'],
    ['text/*', 'text/csv'],
    ['text/csv;q=0.5, application/json;q=0.8', 'application/json'],
    ['text/csv, */*;q=0.1', 'text/csv'],
    ['application/json;q=0, */*', 'text/csv'],
    ['text/html, application/xhtml+xml, */*;q=0.8', 'application/json'],
    ['text/csv, application/json', 'application/json'],
  ])('for %j is %s', (field, form) => {
    expect(acceptedForm(field, OFFERED)).toBe(form)
  })

  test.each(['text/html', 'application/json;q=0', 'application/json;q=2', '*/*;q=0', 'nonsense'])(
    'is refused for %j',
    (field) => {
      expect(() => acceptedForm(field, OFFERED)).toThrow(
        expect.objectContaining({
          code: 'not-acceptable',
          message: 'This is offered as application/json or text/csv.',
        }),
      )
    },
  )
})
