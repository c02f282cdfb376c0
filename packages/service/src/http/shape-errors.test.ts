import { Type } from 'typebox'
import { expect, test } from 'vitest'
import { Id } from './ids.ts'
import { bodyProblem } from './validator.ts'

const Body = Type.Partial(
  Type.Object({
    from: Id('test', 'A version.'),
    reader: Type.String({ pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$', minLength: 1, maxLength: 40 }),
    reason: Type.String({ pattern: '^\\s*\\S+\\s+\\S+\\s+\\S', minLength: 12, maxLength: 2000 }),
  }),
)
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
