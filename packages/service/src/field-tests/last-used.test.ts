import { expect, test } from 'vitest'
import { LastUsed } from './last-used.ts'

test('what was used longest ago goes first, as soon as all take too many bytes', () => {
  const kept = new LastUsed<string>(100)
  for (const name of 'abcdefghijkl') kept.set(name, name.toUpperCase(), 9)
  // Eleven times nine fit.
  expect(kept.bytes).toBe(99)
  expect(kept.get('a')).toBeUndefined()
  expect(kept.get('b')).toBe('B')
  kept.set('m', 'M', 9)
  // b was just used, so c was the oldest.
  expect([kept.get('b'), kept.get('c'), kept.get('m')]).toEqual(['B', undefined, 'M'])
})

test('a value that takes the place of another counts once', () => {
  const kept = new LastUsed<string>(100)
  kept.set('a', 'first', 9)
  kept.set('a', 'second', 4)
  expect([kept.get('a'), kept.bytes]).toEqual(['second', 4])
})

test('nothing is taken that fills a tenth of all, and what it would have replaced is gone', () => {
  const kept = new LastUsed<string>(100)
  kept.set('a', 'small', 5)
  kept.set('a', 'large', 11)
  expect([kept.get('a'), kept.bytes]).toEqual([undefined, 0])
})
