import { expect, test } from 'vitest'
import { path } from './path.ts'

test('a parameter stays within its segment', () => {
  expect(path`/v1/tests/${'a/b?c#d é'}/trace/${'lift'}`).toBe('/v1/tests/a%2Fb%3Fc%23d%20%C3%A9/trace/lift')
})

test.each(['', '.', '..', undefined])('%j is refused, because it would name something else', (value) => {
  expect(() => path`/v1/tests/${value as string}`).toThrow(/path parameter must be a non-empty string/)
})
