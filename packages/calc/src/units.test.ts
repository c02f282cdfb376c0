import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { acceptedUnits, fromSi, siUnit, toSi, UnitError, unitSize, unitsOf, unitTable } from './units.ts'

const table = unitTable()
const everyUnit = table.flatMap(({ dimension, units }) => units.map((unit) => ({ dimension, ...unit })))

describe('units', () => {
  test.each(everyUnit)(
    '$symbol of $dimension comes back from SI as it went in',
    ({ dimension, symbol, offset = 0 }) => {
      fc.assert(
        fc.property(fc.double({ min: -1e9, max: 1e9, noNaN: true }), (value) => {
          const back = fromSi(toSi({ value, unit: symbol }, dimension), symbol, dimension)
          // A few roundings of the value, and of the offset it was added to; nothing is read below 1e-300.
          const allowed = 4 * Number.EPSILON * (Math.abs(value) + Math.abs(offset)) + 1e-300
          expect(Math.abs(back - value)).toBeLessThanOrEqual(allowed)
        }),
      )
    },
  )

  test.each(everyUnit.filter(({ ucum }) => ucum !== undefined))(
    '$ucum of UCUM is $symbol',
    ({ dimension, symbol, ucum }) => {
      expect(acceptedUnits(dimension)).toContain(ucum)
      expect(unitsOf(dimension)).not.toContain(ucum)
      expect(toSi({ value: 7, unit: ucum! }, dimension)).toBe(toSi({ value: 7, unit: symbol }, dimension))
      expect(fromSi(7, ucum!, dimension)).toBe(fromSi(7, symbol, dimension))
    },
  )

  test.each(table)('the SI unit of $dimension is itself a unit of factor 1', ({ dimension, si }) => {
    expect(siUnit(dimension)).toBe(si)
    // Energy per revolution is only read in watt-hours, speed only in revolutions per minute.
    if (unitsOf(dimension).includes(si)) expect(toSi({ value: 3, unit: si }, dimension)).toBe(3)
  })

  test('no spelling means two units of one dimension', () => {
    for (const { dimension } of table) {
      const spellings = acceptedUnits(dimension)
      expect(new Set(spellings).size).toBe(spellings.length)
    }
  })

  test('a unit of another dimension is refused with the units that are accepted', () => {
    expect.assertions(4)
    try {
      toSi({ value: 1, unit: 'psi' }, 'flow')
    } catch (error) {
      expect(error).toBeInstanceOf(UnitError)
      const { message, unit, allowed } = error as UnitError
      expect(message).toMatch(/^'psi' is not a unit of flow here; accepted are gpm, cfs, .*\.$/)
      expect(unit).toBe('psi')
      expect(allowed).toEqual(unitsOf('flow'))
    }
  })

  test.each([
    ['a bare miner’s inch, whose size differs by state', 'flow', 'miners-inch'],
    ['the survey foot, retired in 2022', 'length', '[ft_us]'],
    ['another spelling of the gallon per minute', 'flow', 'GPM'],
    ['the name of a member every object has', 'length', 'constructor'],
    ['nothing at all', 'pressure', ''],
  ] as const)('refuses %s', (_, dimension, unit) => {
    expect(() => toSi({ value: 1, unit }, dimension)).toThrow(UnitError)
    expect(() => fromSi(1, unit, dimension)).toThrow(UnitError)
    expect(() => unitSize(unit, dimension)).toThrow(UnitError)
  })

  test('a temperature has an offset, a difference of temperatures has none', () => {
    expect(toSi({ value: 212, unit: 'degF' }, 'temperature')).toBeCloseTo(100, 12)
    expect(toSi({ value: 273.15, unit: 'K' }, 'temperature')).toBe(0)
    expect(fromSi(-40, 'degF', 'temperature')).toBeCloseTo(-40, 12)
    expect(unitSize('degF', 'temperature')).toBe(1 / 1.8)
    expect(unitSize('K', 'temperature')).toBe(1)
  })

  test('temperatures apart, zero is zero in every unit', () => {
    for (const { dimension, symbol } of everyUnit)
      if (dimension !== 'temperature') expect(toSi({ value: 0, unit: symbol }, dimension)).toBe(0)
  })
})
