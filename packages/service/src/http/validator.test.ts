import { Type } from 'typebox'
import { describe, expect, test } from 'vitest'
import { LateCompiling } from './late-compiling.ts'
import { editDistance, nearest } from './spelling.ts'
import { bodyProblem, textCompiler } from './validator.ts'

const part = { additionalProperties: false }
const Length = Type.Object(
  {
    value: Type.Number({ exclusiveMinimum: 0 }),
    unit: Type.Unsafe<string>({ type: 'string', enum: ['ft', 'in', 'm'], description: 'Unit of length.' }),
  },
  part,
)
const Sounder = Type.Object({ method: Type.Literal('sounder'), depth: Length }, part)
const Tape = Type.Object({ method: Type.Literal('tape'), held: Length, cut: Length }, part)
const Visit = Type.Object(
  {
    plant: Type.String({ pattern: '^[A-Z]+$', maxLength: 5, description: 'Code of the plant.' }),
    testedOn: Type.String({ format: 'date', maxLength: 10 }),
    readAt: Type.Optional(Type.String({ format: 'date-time', maxLength: 40 })),
    insideDiameter: Type.Optional(Length),
    level: Type.Optional(
      Type.Unsafe({
        type: 'object',
        required: ['method'],
        discriminator: { propertyName: 'method' },
        oneOf: [Sounder, Tape],
      }),
    ),
    kind: Type.Optional(Type.Enum(['well', 'booster'])),
    runs: Type.Optional(Type.Array(Type.Integer(), { maxItems: 3 })),
  },
  part,
)
const honest = { plant: 'AMB', testedOn: '2026-05-04' }
const length = { value: 1, unit: 'ft' }

const problems = (body: unknown) => bodyProblem(Visit, body, 100)?.errors

describe('the shape of a body', () => {
  test('that is right is no problem, and the body is left as it was', () => {
    const body = { ...honest, insideDiameter: length, runs: [1] }
    const before = structuredClone(body)
    expect(bodyProblem(Visit, body, 100)).toBeUndefined()
    expect(body).toEqual(before)
  })

  test.each<[string, object, object]>([
    ['a missing member', { plant: 'AMB' }, { pointer: '/testedOn', code: 'missing-member' }],
    [
      'an unknown field, with what was probably meant',
      { ...honest, insideDiametr: length },
      {
        pointer: '/insideDiametr',
        code: 'unknown-field',
        message: "No such field: 'insideDiametr'. Did you mean 'insideDiameter'?",
      },
    ],
    [
      'an unknown field like no other',
      { ...honest, colour: 1 },
      { pointer: '/colour', message: "No such field: 'colour'." },
    ],
    [
      'a text where a number belongs',
      { ...honest, insideDiameter: { value: '23.5', unit: 'in' } },
      {
        pointer: '/insideDiameter/value',
        code: 'wrong-type',
        message: "Must be a number, not '23.5'.",
        allowed: ['number'],
      },
    ],
    ['null', { ...honest, plant: null }, { pointer: '/plant', message: 'Must be a string, not null.' }],
    [
      'a wrong unit',
      { ...honest, insideDiameter: { value: 8, unit: 'FT' } },
      {
        pointer: '/insideDiameter/unit',
        code: 'unknown-unit',
        message: "'FT' is not a unit of length here. Did you mean 'ft'?",
        allowed: ['ft', 'in', 'm'],
      },
    ],
    [
      'a value outside a closed list',
      { ...honest, kind: 'wel' },
      { code: 'unknown-value', allowed: ['well', 'booster'] },
    ],
    [
      'a number outside its domain',
      { ...honest, insideDiameter: { value: 0, unit: 'in' } },
      {
        pointer: '/insideDiameter/value',
        code: 'number-out-of-range',
        message: 'the number 0 is out of range: must be > 0.',
      },
    ],
    ['a text of the wrong form', { ...honest, plant: 'amb' }, { pointer: '/plant', code: 'wrong-format' }],
    ['too long a text', { ...honest, plant: 'AMBERM' }, { pointer: '/plant', code: 'wrong-length' }],
    ['too long a list', { ...honest, runs: [1, 2, 3, 4] }, { pointer: '/runs', code: 'wrong-length' }],
    [
      'a day that does not exist',
      { ...honest, testedOn: '2026-02-30' },
      { pointer: '/testedOn', code: 'wrong-format' },
    ],
  ])('names %s', (_, body, item) => {
    expect(problems(body)).toMatchObject([item])
  })

  test.each(['2026-05-04T09:30:00Z', '2026-05-04T09:30:00.125-07:00', '2026-05-04T23:59:59+05:30'])(
    '%s is a time',
    (readAt) => {
      expect(problems({ ...honest, readAt })).toBeUndefined()
    },
  )

  test.each([
    '2026-05-04T09:30:00',
    '2026-05-04 09:30:00Z',
    '2026-05-04T09:30Z',
    '2026-12-31T23:59:60Z',
    '2026-02-30T00:00:00Z',
  ])('%s is not', (readAt) => {
    expect(problems({ ...honest, readAt })).toMatchObject([{ pointer: '/readAt', code: 'wrong-format' }])
  })

  test('speaks of the chosen method only', () => {
    expect(problems({ ...honest, level: { method: 'tape', held: length, depth: length } })).toMatchObject([
      { pointer: '/level/cut', code: 'missing-member' },
      { pointer: '/level/depth', code: 'unknown-field', allowed: ['method', 'held', 'cut'] },
    ])
  })

  test('lists the methods where none of them was chosen', () => {
    const allowed = ['sounder', 'tape']
    expect(problems({ ...honest, level: { depth: length } })).toMatchObject([
      { pointer: '/level/method', code: 'missing-member', allowed },
    ])
    expect(problems({ ...honest, level: { method: 'tap' } })).toMatchObject([
      {
        pointer: '/level/method',
        code: 'unknown-value',
        allowed,
        message: "'tap' is not a method here. Did you mean 'tape'?",
      },
    ])
    expect(problems({ ...honest, level: { method: 7 } })).toMatchObject([
      { pointer: '/level/method', code: 'wrong-type', allowed },
    ])
  })

  test('tells every mistake of a small body and the first of a large one', () => {
    const body = { plant: 1, testedOn: 2, kind: 3 }
    expect(bodyProblem(Visit, body, 100)?.errors).toHaveLength(3)
    expect(bodyProblem(Visit, body, 100)?.message).toBe('3 places need attention; nothing was stored.')
    expect(bodyProblem(Visit, body, 200_000)?.errors).toHaveLength(1)
  })

  test('lists no more than fifty mistakes', () => {
    const problem = bodyProblem(Visit, { ...honest, runs: Array.from({ length: 900 }, () => 'x') }, 5_000)
    expect(problem?.errors).toHaveLength(50)
  })

  test('does not repeat a long text back', () => {
    const told = JSON.stringify(problems({ ...honest, plant: 'x'.repeat(5_000), ['y'.repeat(5_000)]: 1 }))
    expect(told.length).toBeLessThan(3_000)
  })
})

describe('query parameters', () => {
  const Query = Type.Object({ limit: Type.Integer({ minimum: 1, maximum: 200, default: 50 }) }, part)
  const validate = textCompiler(new LateCompiling())({
    schema: Query,
    method: 'GET',
    url: '/',
    httpPart: 'querystring',
  })

  test('are text and become what the schema says', () => {
    expect(validate({ limit: '7' })).toEqual({ value: { limit: 7 } })
    expect(validate({})).toEqual({ value: { limit: 50 } })
  })

  test.each<[object, object]>([
    [{ limit: '201' }, { parameter: 'limit', code: 'number-out-of-range' }],
    [{ limit: 'x' }, { parameter: 'limit', code: 'wrong-type' }],
    [
      { limt: '1' },
      { parameter: 'limt', code: 'unknown-field', message: "No such field: 'limt'. Did you mean 'limit'?" },
    ],
  ])('%j is refused by name', (query, item) => {
    expect(validate(query)).toMatchObject({ error: { code: 'invalid-request', errors: [item] } })
  })

  test('an id in a path that can not be one is not found', () => {
    const Params = Type.Object({ plantId: Type.String({ pattern: '^plt_' }) })
    const inPath = textCompiler(new LateCompiling())({ schema: Params, method: 'GET', url: '/', httpPart: 'params' })
    expect(inPath({ plantId: 'x' })).toMatchObject({
      error: { code: 'not-found', message: "There is no plant 'x' that this key may see." },
    })
  })
})

describe('spelling', () => {
  test.each([
    ['flow', 'flow', 0],
    ['flwo', 'flow', 1],
    ['kitten', 'sitting', 3],
    ['', 'abc', 3],
  ])('%s and %s are %d edits apart', (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance)
  })

  test('suggests nothing for a word that is far from all, or too short to tell', () => {
    expect(nearest('temperature', ['flow', 'level'])).toBeUndefined()
    expect(nearest('xy', ['ft', 'in'])).toBeUndefined()
  })
})
