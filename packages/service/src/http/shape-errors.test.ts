import { Type } from 'typebox'
import { expect, test } from 'vitest'
import { DecisionWords } from '../decisions/schemas.ts'
import { Id } from './ids.ts'
import { bodyProblem } from './validator.ts'

const Body = Type.Object({ from: Type.Optional(Id('test', 'A version.')), ...Type.Partial(DecisionWords).properties })
const told = (body: unknown) => bodyProblem(Body, body, 100)?.errors?.map(({ message }) => message) ?? []

test.each([
  [{ from: '1' }, /'1' is too short: an id like tst_…/],
  [{ from: 'x'.repeat(30) }, /has the wrong form: an id like tst_…/],
  [{ reason: 'fine' }, /a sentence of three words or more/],
  [{ reason: 'looks-fine-to-me' }, /a sentence of three words or more/],
  [{ reader: 'Some One' }, /letters, digits, \. _ - and no spaces/],
  [{ reason: `a b ${'c'.repeat(2000)}` }, /is too long: at most 2000 characters/],
])('%j is told in words, not as a pattern', (body, message) => {
  const messages = told(body)
  expect(messages[0]).toMatch(message)
  expect(messages.join()).not.toMatch(/must NOT|\[A-Z|\\S|\^/)
})
