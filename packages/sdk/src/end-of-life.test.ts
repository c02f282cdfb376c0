import { expect, test } from 'vitest'
import { endOfLife } from './end-of-life.ts'
import { json, requesterOn, serve } from './testing.ts'

test('an operation that stays says nothing', () => {
  expect(endOfLife(new Headers({ link: '</v1/tests?cursor=a>; rel="next"' }))).toEqual({})
})

test('the end of an operation is told as times, with what to use instead', () => {
  const headers = new Headers({
    deprecation: '@1688169599',
    sunset: 'Sun, 30 Jun 2024 23:59:59 GMT',
    link: '<https://tests.example.org/later>; rel="deprecation"; type="text/html"',
  })
  expect(endOfLife(headers)).toEqual({
    deprecatedSince: '2023-06-30T23:59:59.000Z',
    sunset: '2024-06-30T23:59:59.000Z',
    successor: 'https://tests.example.org/later',
  })
})

test('a time in another form is told as it came', () => {
  expect(endOfLife(new Headers({ deprecation: 'true' }))).toEqual({ deprecatedSince: 'true' })
  expect(endOfLife(new Headers({ sunset: 'soon' }))).toEqual({ sunset: 'soon' })
})

test('it stands in the log beside the answer', async () => {
  const service = await serve(json(200, {}, { sunset: 'Sun, 30 Jun 2024 23:59:59 GMT' }))
  const lines: object[] = []
  const logger = { debug: (_: string, details: object = {}) => void lines.push(details), warn: () => {} }
  await requesterOn(service, { logger }).send({ operation: 'tests.get', method: 'GET', path: '/v1/tests/tst_1' })
  expect(lines).toEqual([expect.objectContaining({ status: 200, sunset: '2024-06-30T23:59:59.000Z' })])
})
