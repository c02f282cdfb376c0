/** What is no sheet: refused at its place, with what is allowed; nothing is stored. What is kept is in kept.test.ts. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, type StoredRows, sheetWith, storedRows, visitSheet } from '../../../../tests/setup/visit.ts'
import { SHEET_BYTES_MAX } from '../http/body.ts'

let service: TestService
let url: string
beforeAll(async () => {
  service = await startTestService()
  url = await service.listen()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

const NOTHING: StoredRows = { tests: 0, contexts: 0, entries: 0, keys: 0 }

interface Refusal {
  readonly status: number
  readonly code: string
  readonly errors?: readonly object[]
}

/** Sends a body to both operations that take a sheet; both must refuse it in the same words, and store nothing. */
async function expectRefusal(body: unknown, { status, code, errors }: Refusal): Promise<void> {
  const headers = { 'idempotency-key': '"refused"', 'x-request-id': 'the-same-for-both' }
  const answer = await service.call('firmA', 'POST /v1/tests', { body, headers })
  expect(answer.headers['content-type']).toMatch(/^application\/problem\+json\b/)
  expect(answer.body).toMatchObject({ status, code, ...(errors && { errors }) })
  if (errors) expect((answer.body.errors as unknown[]).length).toBe(errors.length)
  expect(answer.status).toBe(status)
  const evaluated = await service.call('firmA', 'POST /v1/evaluations', { body, headers })
  expect(evaluated.body).toEqual({ ...answer.body, instance: '/v1/evaluations' })
  expect(await storedRows(service)).toEqual(NOTHING)
}

const shape = (...errors: object[]): Refusal => ({ status: 400, code: 'invalid-request', errors })

const gauge = '/runs/0/dischargePressure/reading'
const point = '/runs/0/flow/diameters/0/points/0'
const forms = ['value', 'repeats', 'low and high']

const cases: readonly (readonly [what: string, changes: Record<string, unknown>, Refusal])[] = [
  [
    'a unit that is none',
    { [`${gauge}/unit`]: 'PSI' },
    shape({
      pointer: `${gauge}/unit`,
      code: 'unknown-unit',
      message: "'PSI' is not a unit of pressure here. Did you mean 'psi'?",
      allowed: expect.arrayContaining(['psi', 'kPa', 'bar', 'ftH2O']),
    }),
  ],
  [
    'a unit of another dimension',
    { [`${gauge}/unit`]: 'ft' },
    shape({ pointer: `${gauge}/unit`, code: 'unknown-unit', allowed: expect.not.arrayContaining(['ft']) }),
  ],
  [
    'text for a number',
    { [`${gauge}/value`]: '41.5' },
    shape({
      pointer: `${gauge}/value`,
      code: 'wrong-type',
      message: "Must be a number, not '41.5'.",
      allowed: ['number'],
    }),
  ],
  ['null for a number', { [`${gauge}/value`]: null }, shape({ pointer: `${gauge}/value`, code: 'wrong-type' })],
  [
    'no plant and no day',
    { '/plant': undefined, '/testedOn': undefined },
    shape(
      { pointer: '/plant', code: 'missing-member', message: expect.stringContaining('Code of the plant') },
      { pointer: '/testedOn', code: 'missing-member' },
    ),
  ],
  [
    'a reading without its unit',
    { [`${gauge}/unit`]: undefined },
    shape({ pointer: `${gauge}/unit`, code: 'missing-member' }),
  ],
  [
    'a misspelt field',
    { '/runs/0/dischargePressure': undefined, '/runs/0/dischargePresure': { reading: { value: 41.5, unit: 'psi' } } },
    shape({
      pointer: '/runs/0/dischargePresure',
      code: 'unknown-field',
      message: "No such field: 'dischargePresure'. Did you mean 'dischargePressure'?",
      allowed: expect.arrayContaining(['dischargePressure', 'flow', 'power']),
    }),
  ],
  ['a person’s name', { '/tester': 'Some One' }, shape({ pointer: '/tester', code: 'wrong-format' })],
  ['free text', { '/notes': 'the owner was there' }, shape({ pointer: '/notes', code: 'unknown-field' })],
  [
    'an unknown method',
    { '/runs/0/flow/method': 'weir' },
    shape({
      pointer: '/runs/0/flow/method',
      code: 'unknown-value',
      allowed: expect.arrayContaining(['pitot-traverse', 'ultrasonic-rate', 'meter-totaliser']),
    }),
  ],
  [
    'no method',
    { '/runs/0/power/method': undefined },
    shape({
      pointer: '/runs/0/power/method',
      code: 'missing-member',
      allowed: expect.arrayContaining(['meter-revolutions', 'meter-pulses', 'volts-amps']),
    }),
  ],
  [
    'another kind of plant',
    { '/kind': 'fountain' },
    shape({ pointer: '/kind', code: 'unknown-value', allowed: ['well', 'booster'] }),
  ],
  ['no runs', { '/runs': [] }, shape({ pointer: '/runs', code: 'wrong-shape' })],
  [
    'a day that is none',
    { '/testedOn': '2026-02-30' },
    shape({ pointer: '/testedOn', code: 'wrong-format', message: expect.stringContaining('2026-05-04') }),
  ],
  ['a day of the year 0', { '/testedOn': '0000-05-12' }, shape({ pointer: '/testedOn', code: 'wrong-format' })],
  [
    'a time without offset',
    { [`${gauge}/at`]: '2026-05-12T08:45:00' },
    shape({ pointer: `${gauge}/at`, code: 'wrong-format' }),
  ],
  [
    'a pipe of no diameter',
    { '/runs/0/flow/pipe/insideDiameters/0/value': 0 },
    shape({ pointer: '/runs/0/flow/pipe/insideDiameters/0/value', code: 'number-out-of-range' }),
  ],
  [
    'a timing of no time',
    { '/runs/0/power/timings/1/elapsed/value': 0 },
    shape({ pointer: '/runs/0/power/timings/1/elapsed/value', code: 'number-out-of-range' }),
  ],
  [
    'a point in two forms',
    { [`${point}/repeats`]: [2.4, 2.5] },
    shape({ pointer: point, code: 'wrong-shape', allowed: forms }),
  ],
  [
    'a point in no form',
    { [`${point}/value`]: undefined },
    shape({ pointer: point, code: 'wrong-shape', allowed: forms }),
  ],
  [
    'half a swing',
    { [`${point}/value`]: undefined, [`${point}/low`]: 2.4 },
    shape({ pointer: point, code: 'wrong-shape', allowed: forms }),
  ],
  [
    'a swing upside down',
    { [`${point}/value`]: undefined, [`${point}/low`]: 2.6, [`${point}/high`]: 2.4 },
    shape({ pointer: `${point}/low`, code: 'wrong-shape' }),
  ],
  [
    'a normal run that is not there',
    { '/normalRun': 1 },
    shape({ pointer: '/normalRun', code: 'wrong-shape', allowed: ['0 to 0'] }),
  ],
  [
    'an open discharge with a pressure',
    { '/runs/0/dischargeOpen': true },
    shape({ pointer: '/runs/0/dischargeOpen', code: 'wrong-shape' }),
  ],
  [
    'codes that nobody registered',
    {
      '/plant': 'AM-99',
      '/tester': 'T-99',
      '/instruments/level': 'sounder-z',
      '/runs/0/flow/tube/instrument': 'pitot-z',
    },
    {
      status: 422,
      code: 'reference-not-found',
      errors: [
        { pointer: '/plant', code: 'not-visible', message: "There is no plant 'AM-99' that this key may see." },
        { pointer: '/tester', code: 'not-visible' },
        { pointer: '/instruments/level', code: 'not-visible' },
        { pointer: '/runs/0/flow/tube/instrument', code: 'not-visible' },
      ],
    },
  ],
]

describe('a sheet', () => {
  test.each(cases)('with %s is refused at its place', (_, changes, refusal) =>
    expectRefusal(sheetWith(changes), refusal),
  )
})

const text = JSON.stringify(visitSheet)
const texts: readonly (readonly [what: string, body: string, Refusal])[] = [
  [
    'a member twice',
    text.replace('"psi"', '"psi","value":46.5'),
    { status: 400, code: 'malformed-json', errors: [{ pointer: `${gauge}/value`, code: 'duplicate-member' }] },
  ],
  [
    '1e999',
    text.replace('41.5', '1e999'),
    { status: 400, code: 'number-out-of-range', errors: [{ pointer: `${gauge}/value` }] },
  ],
  [
    'a number that is lost as a double',
    text.replace('41.5', '1e-999'),
    { status: 400, code: 'number-out-of-range', errors: [{ pointer: `${gauge}/value` }] },
  ],
  ['NaN', text.replace('41.5', 'NaN'), { status: 400, code: 'malformed-json' }],
  ['a comma too many', text.replace(/}$/, ',}'), { status: 400, code: 'malformed-json' }],
  ['no end', text.slice(0, -1), { status: 400, code: 'malformed-json' }],
  ['nothing in it', '', { status: 400, code: 'invalid-request' }],
  [
    'a list instead',
    `[${text}]`,
    { status: 400, code: 'invalid-request', errors: [{ pointer: '', code: 'wrong-type' }] },
  ],
  ['a byte order mark', `\ufeff${text}`, { status: 400, code: 'malformed-json' }],
]

describe('a body', () => {
  test.each(texts)('with %s is refused', (_, body, refusal) => expectRefusal(body, refusal))

  test('of another media type is refused', async () => {
    const call = { body: text, headers: { 'content-type': 'text/csv' } }
    expect((await service.call('firmA', 'POST /v1/tests', call)).body).toMatchObject({ code: 'unsupported-media-type' })
    expect(await storedRows(service)).toEqual(NOTHING)
  })

  test('of 5 MB gets the limit, again and again, and the service goes on', async () => {
    const headers = { authorization: `Bearer ${service.keys.firmA}`, 'content-type': 'application/json' }
    for (let round = 0; round < 3; round++) {
      const answer = await fetch(`${url}/v1/tests`, { method: 'POST', headers, body: text.padEnd(5_000_000, ' ') })
      expect(answer.status).toBe(413)
      expect(answer.headers.get('content-type')).toMatch(/^application\/problem\+json\b/)
      expect(await answer.json()).toMatchObject({
        code: 'too-large',
        detail: expect.stringContaining(`at most ${SHEET_BYTES_MAX} bytes`),
      })
    }
    expect(await storedRows(service)).toEqual(NOTHING)
    expect((await fetch(`${url}/health/ready`)).status).toBe(200)
  })
})

describe('an Idempotency-Key', () => {
  test.each([
    ['with a space in it', 'a b'],
    ['without its end', '"a'],
    ['of nothing', '""'],
    ['with an empty value', ''],
    ['of 129 characters', 'k'.repeat(129)],
    ['of 150 characters', `"${'k'.repeat(150)}"`],
    ['with a parameter', '"a"; expires=1'],
    ['in another alphabet', '"schlüssel"'],
  ])('%s is refused by its name', async (_, key) => {
    const answer = await service.call('firmA', 'POST /v1/tests', {
      body: visitSheet,
      headers: { 'idempotency-key': key },
    })
    expect(answer).toMatchObject({ status: 400, body: { code: 'invalid-request' } })
    const [item] = answer.body.errors as { parameter: string }[]
    expect(item!.parameter.toLowerCase()).toBe('idempotency-key')
    expect(await storedRows(service)).toEqual(NOTHING)
  })
})

test('after all that, the sheet itself is taken', async () => {
  expect((await service.call('firmA', 'POST /v1/tests', { body: visitSheet })).status).toBe(201)
  expect(await storedRows(service)).toEqual({ tests: 1, contexts: 1, entries: 1, keys: 0 })
})
