import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { dayNumber, secondsOf } from './instants.ts'

/** What the platform makes of a time: the calculation itself never asks it. */
const platformSeconds = (instant: string): number => Date.parse(instant) / 1000

describe('instants', () => {
  test.each([
    ['1970-01-01', 0],
    ['1969-12-31', -1],
    ['2000-02-29', 11016],
    ['2026-05-12', 20585],
  ])('%s is day %i', (day, number) => {
    expect(dayNumber(day)).toBe(number)
  })

  test('days agree with the platform over eight thousand years', () => {
    for (let day = -719_162; day < 2_200_000; day += 97) {
      const text = new Date(day * 86_400_000).toISOString().slice(0, 10)
      expect(dayNumber(text)).toBe(day)
    }
  })

  test('times agree with the platform, whatever the offset', () => {
    const offset = fc
      .tuple(fc.constantFrom('+', '-'), fc.integer({ min: 0, max: 23 }), fc.integer({ min: 0, max: 59 }))
      .map(([sign, h, m]) => `${sign}${String(h).padStart(2, '0')}:${String(m).padStart(2, '0')}`)
    fc.assert(
      fc.property(
        fc.date({ min: new Date('0001-01-01T00:00:00Z'), max: new Date('9999-12-31T00:00:00Z'), noInvalidDate: true }),
        fc.oneof(fc.constant('Z'), offset),
        (date, zone) => {
          const instant = `${date.toISOString().slice(0, 19)}${zone}`
          expect(secondsOf(instant)).toBe(platformSeconds(instant))
        },
      ),
    )
  })

  test('a fraction of a second counts', () => {
    expect(secondsOf('1970-01-01T00:00:01.25Z')).toBeCloseTo(1.25, 12)
    expect(secondsOf('1970-01-01T01:00:00.125+01:00')).toBeCloseTo(0.125, 12)
    expect(secondsOf('2026-05-12T08:05:00.000000-07:00')).toBe(platformSeconds('2026-05-12T08:05:00-07:00'))
  })

  test('one moment in two zones is one number', () => {
    expect(secondsOf('2026-05-12T08:05:00-07:00')).toBe(secondsOf('2026-05-12T15:05:00Z'))
    expect(secondsOf('2026-05-12T08:05:00-07:00')).toBe(secondsOf('2026-05-12T20:35:00+05:30'))
  })

  test.each([
    ['2026-05-12T20:35:00+0530', '2026-05-12T20:35:00+05:30'],
    ['2026-05-12T20:35:00+05', '2026-05-12T20:35:00+05:00'],
    ['2026-05-12t15:05:00z', '2026-05-12T15:05:00Z'],
  ])('%s, which lenient validators let through, is still a number', (lenient, strict) => {
    expect(secondsOf(lenient)).toBe(secondsOf(strict))
  })
})
