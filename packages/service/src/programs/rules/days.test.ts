import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { dayNumber, dayOf, daysBetween, daysLater, isWithin, lengthOf, overlap, yearsLater } from './days.ts'

const anyNumber = fc.integer({ min: dayNumber('1990-01-01'), max: dayNumber('2090-12-31') })
const anyDay = anyNumber.map(dayOf)
const anyWindow = fc
  .tuple(anyDay, fc.nat({ max: 800 }))
  .map(([first, days]) => ({ first, last: daysLater(first, days) }))

describe('a day', () => {
  test.each([
    ['2024-02-29', 1, '2025-02-28'],
    ['2024-02-29', 4, '2028-02-29'],
    ['2026-05-04', 1, '2027-05-04'],
    ['2000-02-29', 100, '2100-02-28'],
  ])('%s is, %i years later, %s', (day, years, later) => expect(yearsLater(day, years)).toBe(later))

  test.each(['2026-02-29', '2026-13-01', '2026-1-1', 'today'])('is not %s', (day) =>
    expect(() => dayNumber(day)).toThrow(RangeError),
  )

  test('a year later is 365 or 366 days later, but 365 for a 29 February', () => {
    fc.assert(
      fc.property(anyDay, (day) => {
        expect([365, 366]).toContain(daysBetween(day, yearsLater(day, 1)))
      }),
    )
  })

  test('is ordered as its text is', () => {
    fc.assert(
      fc.property(anyDay, anyDay, (a, b) => {
        expect(a < b).toBe(daysBetween(a, b) > 0)
      }),
    )
  })
})

describe('a window', () => {
  test('holds both its ends, and not the days beside them', () => {
    fc.assert(
      fc.property(anyWindow, (window) => {
        expect([isWithin(window.first, window), isWithin(window.last, window)]).toEqual([true, true])
        expect(isWithin(daysLater(window.first, -1), window)).toBe(false)
        expect(isWithin(daysLater(window.last, 1), window)).toBe(false)
        expect(lengthOf(window)).toBe(daysBetween(window.first, daysLater(window.last, 1)))
      }),
    )
  })

  test('overlaps another where they have a day in common', () => {
    fc.assert(
      fc.property(anyWindow, anyWindow, (one, other) => {
        const days = Array.from({ length: lengthOf(one) }, (_, n) => daysLater(one.first, n))
        expect(overlap(one, other)).toBe(days.some((day) => isWithin(day, other)))
        expect(overlap(one, other)).toBe(overlap(other, one))
      }),
    )
  })
})
