import fc from 'fast-check'
import { expect, test } from 'vitest'
import { arccosine, cosine, logarithm, power, sine, tangent } from './elementary.ts'

const near = (own: number, engine: number) =>
  expect(Math.abs(own - engine)).toBeLessThanOrEqual(2e-14 * (1 + Math.abs(engine)))
const double = (min: number, max: number) => fc.double({ min, max, noNaN: true })

test('agree with the engine’s own functions', () => {
  fc.assert(
    fc.property(double(1e-6, 1e6), double(-3, 3), (x, p) => {
      near(logarithm(x), Math.log(x))
      const own = power(x, p)
      expect(Math.abs(own / x ** p - 1)).toBeLessThan(1e-13)
    }),
  )
  fc.assert(
    fc.property(double(-3, 3), double(-1, 1), (angle, x) => {
      near(sine(angle), Math.sin(angle))
      near(cosine(angle), Math.cos(angle))
      near(arccosine(x), Math.acos(x))
    }),
  )
  near(tangent(0.7), Math.tan(0.7))
})

test('say so where there is no value', () => {
  expect([logarithm(0), logarithm(-1), power(-2, 0.3), arccosine(1.1)]).toEqual([NaN, NaN, NaN, NaN])
  expect([power(0, 1.5), power(2, -2), power(4, 2.5), arccosine(-1)]).toEqual([0, 0.25, 32, Math.PI])
})
