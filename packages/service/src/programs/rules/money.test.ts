import Big from 'big.js'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { moneyOf, moneyText } from './money.ts'

const anyAmount = fc
  .tuple(fc.bigInt({ min: -(10n ** 14n), max: 10n ** 14n }), fc.integer({ min: 0, max: 9 }))
  .map(([units, scale]) => new Big(units.toString()).div(`1e${scale}`))

describe('an amount', () => {
  // Half away from zero is what rule sets promise.
  test.each([
    ['0.005', '0.01'],
    ['-0.005', '-0.01'],
    ['2.675', '2.68'],
    ['-2.674999999', '-2.67'],
    ['1.004999999', '1.00'],
    ['-0.004', '0.00'],
    ['0', '0.00'],
  ])('of %s is %s in money', (text, money) => expect(moneyText(moneyOf(text))).toBe(money))

  test('of the worked repair is 5,047.84: 56,087.087 kWh at 0.09 a kWh', () => {
    const repair = moneyOf('56087.087').times(moneyOf('0.09'))
    expect(repair.toFixed()).toBe('5047.83783')
    expect(moneyText(repair)).toBe('5047.84')
  })

  test.each(['', '1.', '.5', '01', '1e3', '1,000.00', '+1', 'NaN', '1234567890123'])('is not written %j', (text) =>
    expect(() => moneyOf(text)).toThrow(RangeError),
  )

  test('is at most half a cent from what it was, and further from zero where it is just between', () => {
    fc.assert(
      fc.property(anyAmount, (value) => {
        const money = new Big(moneyText(value))
        const off = money.minus(value).abs()
        expect(off.cmp('0.005')).toBeLessThanOrEqual(0)
        if (off.eq('0.005')) expect(money.abs().gt(value.abs())).toBe(true)
      }),
    )
  })

  test('is rounded the same below zero as above', () => {
    fc.assert(
      fc.property(anyAmount, (value) => {
        expect(new Big(moneyText(value.neg())).eq(new Big(moneyText(value)).neg())).toBe(true)
      }),
    )
  })

  test('is written and read without loss', () => {
    fc.assert(
      fc.property(fc.integer(), fc.integer({ min: 0, max: 9 }), (n, scale) => {
        const value = new Big(n).div(`1e${scale}`)
        expect(moneyOf(value.toFixed()).eq(value)).toBe(true)
      }),
    )
  })
})
