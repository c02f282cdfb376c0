import { describe, expect, test } from 'vitest'
import { insistOnMatch, merged } from './if-match.ts'

const tag = '"MDEyMzQ1Njc4OWFiY2RlZg"'
const outcomeOf = (field: string | undefined) => {
  try {
    insistOnMatch(field, tag)
    return 'admitted'
  } catch (error) {
    return (error as { code: string }).code
  }
}

// RFC 9110, 13.1.1 and 8.8.3.2: strong comparison, any of a list, `*` for whatever there is.
describe('If-Match', () => {
  test.each([
    [tag, 'admitted'],
    [`"other", ${tag}`, 'admitted'],
    ['*', 'admitted'],
    [tag.replace(/"$/, '-gz"'), 'admitted'],
    [`W/"other", ${tag}`, 'admitted'],
    [`W/${tag}`, 'precondition-failed'],
    ['"other"', 'precondition-failed'],
    [tag.slice(1, -1), 'precondition-failed'],
    ['', 'precondition-required'],
    [undefined, 'precondition-required'],
  ])('of %j: %s', (field, outcome) => {
    expect(outcomeOf(field)).toBe(outcome)
  })
})

// RFC 7396, appendix A, the rows that concern single members.
test.each([
  ['b', 'c', 'c'],
  ['b', null, null],
  ['b', undefined, 'b'],
  [null, 'c', 'c'],
])('a member %j patched with %j is %j', (current, sent, result) => {
  expect(merged<string | null>(current, sent)).toBe(result)
})
