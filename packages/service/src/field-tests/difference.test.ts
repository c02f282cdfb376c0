import { describe, expect, test } from 'vitest'
import { memberChanges } from './difference.ts'

describe('changes between two documents', () => {
  test.each([
    ['nothing', { a: [1, { b: null }] }, { a: [1, { b: null }] }, []],
    ['another value', { a: { b: 1 } }, { a: { b: 2 } }, [{ pointer: '/a/b', from: 1, to: 2 }]],
    ['a member taken out', { a: 1, b: 2 }, { a: 1 }, [{ pointer: '/b', from: 2 }]],
    ['a member added', { a: 1 }, { a: 1, b: null }, [{ pointer: '/b', to: null }]],
    [
      'a longer list',
      { a: [1] },
      { a: [1, { b: 2, c: 3 }] },
      [
        { pointer: '/a/1/b', to: 2 },
        { pointer: '/a/1/c', to: 3 },
      ],
    ],
    [
      'an emptied list',
      { a: [1] },
      { a: [] },
      [
        { pointer: '/a/0', from: 1 },
        { pointer: '/a', to: [] },
      ],
    ],
    [
      'a list where an object was',
      { a: { b: 1 } },
      { a: [1] },
      [
        { pointer: '/a/b', from: 1 },
        { pointer: '/a/0', to: 1 },
      ],
    ],
    ['names that a pointer escapes', { 'a/b~c': 1 }, { 'a/b~c': 2 }, [{ pointer: '/a~1b~0c', from: 1, to: 2 }]],
    [
      'another kind at the root',
      null,
      { a: 1 },
      [
        { pointer: '', from: null },
        { pointer: '/a', to: 1 },
      ],
    ],
  ])('of %s', (_, from, to, changes) => {
    expect(memberChanges(from, to)).toStrictEqual(changes)
  })
})
