import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { decimalsFor } from './results.ts'
import { roundText } from './rounding.ts'

describe('rounding', () => {
  test.each([
    [2.5, 0, '3'],
    [-2.5, 0, '−3'],
    [0.125, 2, '0.13'],
    // Halves on the decimal text, though the binary fraction is a hair below.
    [1.005, 2, '1.01'],
    [-1.005, 2, '−1.01'],
    [8.345, 2, '8.35'],
    [0.615, 2, '0.62'],
    [1.45, 1, '1.5'],
    [9.995, 2, '10.00'],
    [1234.5, 0, '1235'],
    [0.1 + 0.2, 1, '0.3'],
    [-0.04, 1, '0.0'],
    [5e-7, 6, '0.000001'],
    [4.4e-7, 6, '0.000000'],
    [3e21, 0, '3000000000000000000000'],
    [12, 3, '12.000'],
  ])('%d to %d decimals is %s', (value, decimals, text) => {
    expect(roundText(value, decimals)).toBe(text)
  })

  test('is never off by more than half a unit of the last place', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.integer({ min: 0, max: 8 }),
        (value, decimals) => {
          const text = roundText(value, decimals)
          expect(text).toMatch(decimals === 0 ? /^−?\d+$/ : new RegExp(`^−?\\d+\\.\\d{${decimals}}$`))
          const rounded = Number(text.replace('−', '-'))
          const half = 0.5 / Number(`1e${decimals}`)
          expect(Math.abs(rounded - value)).toBeLessThanOrEqual(half + Math.abs(value) * Number.EPSILON)
        },
      ),
    )
  })
})

describe('decimals worth showing', () => {
  test.each([
    [0.21, 2],
    [0.099, 3],
    [0.0996, 2], // two digits of 0.0996 are 0.10
    [1.73, 1],
    [9.94, 1],
    [9.96, 0],
    [22, 0],
    [4100, 0],
    [1e-7, 8],
    [0, 6],
  ])('a standard uncertainty of %d needs %d', (u, decimals) => {
    expect(decimalsFor(u)).toBe(decimals)
  })
})
