import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { compared, decimalOf, difference, lesser, moneyText, product, rounded, sum, textOf, ZERO } from './decimal.ts'

const anyDecimal = fc
  .tuple(fc.bigInt({ min: -(10n ** 14n), max: 10n ** 14n }), fc.integer({ min: 0, max: 9 }))
  .map(([units, scale]) => ({ units, scale }))

describe('an amount', () => {
  // Half away from zero is what rule sets promise; the third row is the repair of the worked example.
  test.each([
    ['0.005', '0.01'],
    ['-0.005', '-0.01'],
    ['2.675', '2.68'],
    ['-2.674999999', '-2.67'],
    ['1.004999999', '1.00'],
    ['0', '0.00'],
  ])('of %s is %s in money', (text, money) => expect(moneyText(decimalOf(text))).toBe(money))

  test('of the worked repair is 5,047.84: 56,087.087 kWh at 0.09 a kWh', () => {
    expect(textOf(product(decimalOf('56087.087'), decimalOf('0.09')))).toBe('5047.83783')
    expect(moneyText(product(decimalOf('56087.087'), decimalOf('0.09')))).toBe('5047.84')
    expect(moneyText(lesser(decimalOf('8000.00'), product(decimalOf('28400.00'), decimalOf('0.50'))))).toBe('8000.00')
  })

  test.each(['', '1.', '.5', '01', '1e3', '1,000.00', '+1', 'NaN', '1234567890123'])('is not written %j', (text) =>
    expect(() => decimalOf(text)).toThrow(RangeError),
  )

  test('is at most half a cent from what it was, and further from zero where it is just between', () => {
    fc.assert(
      fc.property(anyDecimal, (value) => {
        const money = rounded(value, 2)
        const off = difference(money, value)
        const size = off.units < 0n ? { ...off, units: -off.units } : off
        expect(compared(size, decimalOf('0.005'))).toBeLessThanOrEqual(0)
        if (compared(size, decimalOf('0.005')) !== 0) return
        expect(compared(money, value)).toBe(compared(value, ZERO))
      }),
    )
  })

  test('is rounded the same below zero as above', () => {
    fc.assert(
      fc.property(anyDecimal, (value) => {
        const mirrored = rounded({ ...value, units: -value.units }, 2)
        expect(mirrored).toEqual({ units: -rounded(value, 2).units, scale: 2 })
      }),
    )
  })

  test('is summed exactly, whatever the order', () => {
    fc.assert(
      fc.property(anyDecimal, anyDecimal, anyDecimal, (a, b, c) => {
        expect(compared(sum(sum(a, b), c), sum(a, sum(c, b)))).toBe(0)
        expect(compared(difference(sum(a, b), b), a)).toBe(0)
      }),
    )
  })

  test('is written and read without loss', () => {
    fc.assert(
      fc.property(fc.integer(), fc.integer({ min: 0, max: 9 }), (n, scale) => {
        const value = { units: BigInt(n), scale }
        expect(compared(decimalOf(textOf(value)), value)).toBe(0)
      }),
    )
  })
})
