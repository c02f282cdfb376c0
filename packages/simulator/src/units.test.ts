/** Units and the density of water against published figures. */
import { describe, expect, test } from 'vitest'
import { ACRE_FOOT, densityOfWater, fahrenheit, GPM, HORSEPOWER, PSI } from './units.ts'

/** NIST Special Publication 811 (2008), appendix B.8, conversion factors; from memory. */
describe('units are those of NIST SP 811', () => {
  test.each([
    ['gallon (US) per minute', GPM, 6.309_02e-5],
    ['pound-force per square inch', PSI, 6894.757],
    ['horsepower (550 ft·lbf/s)', HORSEPOWER, 745.6999],
    // Printed for the US survey foot, six parts in a million longer in volume.
    ['acre foot', ACRE_FOOT, 1233.489],
  ])('%s', (_, ours, published) => {
    expect(ours / published).toBeCloseTo(1, 4)
  })
  test('degree Fahrenheit', () => {
    expect(fahrenheit(0)).toBe(32)
    expect(fahrenheit(100)).toBe(212)
  })
})

/** Tanaka et al., Metrologia 38 (2001) 301–309, table of the density of air-free water at one atmosphere; from memory. */
test.each([
  [4, 999.975],
  [10, 999.703],
  [15, 999.103],
  [20, 998.207],
  [25, 997.047],
])('water of %f °C weighs %f kg a cubic metre, to a few parts in a hundred thousand', (celsius, published) => {
  expect(Math.abs(densityOfWater(celsius) / published - 1)).toBeLessThan(3e-5)
})
