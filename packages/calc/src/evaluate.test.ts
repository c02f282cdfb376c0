import { describe, expect, test } from 'vitest'
import type { Context } from './context.ts'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import { quantities } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import { changedVisit, goldenCase, goldenCases, QUANTITIES_OF_SHEET_01 } from './testing.ts'
import { acceptedUnits, type Dimension, fromSi, siUnit, toSi, unitTable } from './units.ts'

/** Metric unit that stands in for each customary one. */
const METRIC: Readonly<Record<string, readonly [Dimension, string]>> = {
  ft: ['length', 'm'],
  in: ['length', 'mm'],
  psi: ['pressure', 'kPa'],
  degF: ['temperature', 'degC'],
  gpm: ['flow', 'm3/h'],
  hp: ['power', 'kW'],
}

/** The same document with every reading turned into metric units. */
function inMetric<T>(part: T): T {
  if (Array.isArray(part)) return part.map(inMetric) as T
  if (part === null || typeof part !== 'object') return part
  const { value, unit } = part as { value?: unknown; unit?: unknown }
  const target = typeof unit === 'string' ? METRIC[unit] : undefined
  if (target !== undefined && typeof value === 'number') {
    const [dimension, metric] = target
    const si = toSi({ value, unit: unit as string }, dimension)
    return { ...part, value: fromSi(si, metric, dimension), unit: metric }
  }
  return Object.fromEntries(Object.entries(part).map(([name, member]) => [name, inMetric(member)])) as T
}

/** The same document with UCUM codes for the trade’s symbols. */
function inUcum<T>(part: T): T {
  const codes = new Map(
    unitTable().flatMap(({ units }) => units.flatMap(({ symbol, ucum }) => (ucum ? [[symbol, ucum] as const] : []))),
  )
  const swap = (here: unknown): unknown => {
    if (Array.isArray(here)) return here.map(swap)
    if (here === null || typeof here !== 'object') return here
    return Object.fromEntries(
      Object.entries(here).map(([name, member]) => [
        name,
        name === 'unit' && typeof member === 'string' ? (codes.get(member) ?? member) : swap(member),
      ]),
    )
  }
  return swap(part) as T
}

const evaluated = (sheet: Sheet, context: Context) => evaluate(sheet, context, latestEdition)

describe('an evaluation', () => {
  test.each(goldenCases().map((golden) => [golden.id, golden] as const))(
    'of %s is the same bytes every time, whatever was evaluated before',
    (_, { sheet, context }) => {
      const first = JSON.stringify(evaluated(sheet, context))
      for (const other of goldenCases()) evaluated(other.sheet, other.context)
      expect(JSON.stringify(evaluated(structuredClone(sheet), structuredClone(context)))).toBe(first)
    },
  )

  test('does not touch what it is given', () => {
    const { sheet, context } = goldenCase('SHEET-01')
    const freeze = (part: unknown): void => {
      if (part === null || typeof part !== 'object') return
      Object.freeze(part)
      Object.values(part).forEach(freeze)
    }
    freeze(sheet)
    freeze(context)
    expect(() => evaluated(sheet, context)).not.toThrow()
  })

  test('of the same readings in metric units gives the same results in SI', () => {
    const { sheet, context } = goldenCase('SHEET-01')
    const us = evaluated(sheet, context)
    const metric = evaluated(inMetric(sheet), inMetric(context))
    expect(metric.results.map(({ quantity }) => quantity)).toEqual(us.results.map(({ quantity }) => quantity))
    metric.results.forEach((result, i) => {
      const same = us.results[i]!
      // A level in feet and back is off by the last bit; a difference of two levels by that much of a level.
      expect(Math.abs(result.value - same.value)).toBeLessThan(1e-12 * Math.max(1, Math.abs(same.value)))
      expect(result.standardUncertainty / same.standardUncertainty).toBeCloseTo(1, 10)
      expect(result.unit).toBe(same.unit)
    })
    expect(metric.findings.map(({ id }) => id)).toEqual(us.findings.map(({ id }) => id))
  })

  test('is shown in the units the tester read in', () => {
    const { sheet, context } = goldenCase('SHEET-01')
    for (const [visited, system] of [
      [sheet, 'us'],
      [inMetric(sheet), 'metric'],
    ] as const)
      for (const { quantity, value, shown } of evaluated(visited, context).results) {
        if (quantity === 'cost-per-volume') continue
        const { dimension, [system]: unit } = quantities[quantity]
        expect(shown.unit).toBe(unit)
        expect(shown.value).toBe(fromSi(value, unit, dimension))
      }
  })

  test('of readings in UCUM codes is the same', () => {
    const { sheet, context } = goldenCase('SHEET-01')
    expect(JSON.stringify(inUcum(sheet))).toContain('[psi]')
    const { results } = evaluated(inUcum(sheet), context)
    expect(results).toEqual(evaluated(sheet, context).results)
  })

  test('of SHEET-01 gives every quantity, in its SI unit, in a fixed order', () => {
    const { results, withheld } = changedVisit().evaluation
    expect(new Set(results.map(({ quantity }) => quantity))).toEqual(new Set(QUANTITIES_OF_SHEET_01))
    expect(withheld).toEqual([])
    for (const { quantity, unit } of results)
      if (quantity !== 'cost-per-volume') expect(unit).toBe(siUnit(quantities[quantity].dimension))
  })

  test('is in the currency of the rate', () => {
    const visit = changedVisit((sheet) => {
      sheet.economics!.energyRate!.unit = 'EUR/kWh'
    })
    const cost = visit.result('cost-per-volume')
    expect([cost.unit, cost.shown.unit]).toEqual(['EUR/m3', 'EUR/acre-ft'])
    expect(cost.shown.value / (cost.value * toSi({ value: 1, unit: 'acre-ft' }, 'volume'))).toBeCloseTo(1, 14)
  })

  test('every interval is the coverage factor times the standard uncertainty', () => {
    for (const { results } of goldenCases().map(({ sheet, context }) => evaluated(sheet, context)))
      for (const { expandedUncertainty, coverageFactor, standardUncertainty, degreesOfFreedom } of results) {
        expect(expandedUncertainty).toBe(coverageFactor * standardUncertainty)
        if (degreesOfFreedom === undefined) expect(coverageFactor).toBe(1.959963984540054)
        else expect(coverageFactor).toBeGreaterThan(1.959963984540054)
      }
  })

  test('water temperature that was not read is 15 °C, within 10 K', () => {
    const visit = changedVisit((sheet) => {
      delete sheet.runs[0]!.waterTemperature
    })
    expect(visit.result('water-density').value).toBeCloseTo(999.1026, 2) // CRC Handbook, density of water at 15 °C
    const [component] = visit.trace('water-density').components
    expect(component!.place).toBe('edition/water-temperature-not-read')
    expect(component!.standardUncertainty).toBeCloseTo(10 / Math.sqrt(3), 12)
  })

  test('density cancels in the pressure part of the efficiency', () => {
    // Head from pressure is p ÷ (ρ g) and power ρ g Q H: only lift and velocity head feel the density.
    const { nodes } = changedVisit().trace('overall-plant-efficiency')
    const density = nodes.find(({ id }) => id === 'water-density')!
    const head = nodes.find(({ id }) => id === 'total-dynamic-head')!.value
    const pressure = nodes.find(({ id }) => id === 'pressure-head')!.value
    const efficiency = nodes[0]!.value
    const air = nodes.find(({ id }) => id === 'manometer-factor-air')!.value
    // The air in the manometer adds a little: velocity rises with (1 − air ÷ density).
    const throughAir = ((1 - air) / air / 2) * (1 + 2 * (nodes.find(({ id }) => id === 'velocity-head')!.value / head))
    const expected = (efficiency / density.value) * ((head - pressure) / head + throughAir)
    expect(density.sensitivity / expected).toBeCloseTo(1, 10)
  })
})

describe('several runs', () => {
  const visit = changedVisit((sheet) => {
    const second = structuredClone(sheet.runs[0]!)
    second.dischargePressure!.reading.value = 30
    sheet.runs.push(second)
  })

  test('each has its own results, the standing level is shared', () => {
    expect(visit.result('standing-water-level', 1).value).toBe(visit.result('standing-water-level', 0).value)
    expect(visit.result('total-dynamic-head', 1).value).toBeLessThan(visit.result('total-dynamic-head', 0).value)
    // Less pressure on the air in the manometer: a little more flow from the same columns.
    expect(visit.result('flow', 1).value).toBeGreaterThan(visit.result('flow', 0).value)
  })

  test('a run is evaluated as it would be alone', () => {
    const alone = changedVisit()
    for (const { quantity } of alone.evaluation.results)
      expect(visit.result(quantity, 0)).toEqual(alone.result(quantity, 0))
    expect(visit.evaluation.handChecks).toHaveLength(2)
  })
})

describe('advice', () => {
  const { advice, results } = changedVisit().evaluation
  const efficiency = results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!

  test('ranks causes by share of variance; the shares are nearly all of it', () => {
    const shares = advice.map(({ shareOfVariance }) => shareOfVariance)
    expect(shares).toEqual([...shares].sort((a, b) => b - a))
    const total = shares.reduce((sum, share) => sum + share, 0)
    expect(total).toBeGreaterThan(0.99)
    expect(total).toBeLessThanOrEqual(1)
  })

  test('says what half as uncertain a cause would do', () => {
    for (const { relativeUncertaintyNow, relativeUncertaintyIfHalved, shareOfVariance } of advice) {
      expect(relativeUncertaintyNow).toBeCloseTo(efficiency.expandedUncertainty / efficiency.value, 14)
      const left = 1 - shareOfVariance + shareOfVariance / 4
      expect(relativeUncertaintyIfHalved / relativeUncertaintyNow).toBeCloseTo(Math.sqrt(left), 12)
    }
  })

  test('keeps its word: with half the gauge’s class the interval is as narrow as was said', () => {
    const gauge = advice.find(({ place }) => place === 'instrument/gauge-100')!
    const better = changedVisit((_, { instruments }) => {
      instruments.find(({ code }) => code === 'gauge-100')!.accuracy!.percent = 0.5
    }).result('overall-plant-efficiency')
    expect(better.expandedUncertainty / better.value).toBeCloseTo(gauge.relativeUncertaintyIfHalved, 12)
  })

  test('offers what a person can do', () => {
    const actions = new Map(advice.map(({ place, action }) => [place, action]))
    expect(actions.get('/runs/0/flow/diameters')).toBe('repeat')
    expect(actions.get('instrument/gauge-100')).toBe('better-instrument')
  })
})

describe('the hand check', () => {
  test.each(goldenCases().map(({ id, sheet, context }) => [id, evaluated(sheet, context)] as const))(
    'of %s agrees within 0.15 %%, with the same head and by its own steps',
    (_, { handChecks, results, withheld }) => {
      const efficiencies = results.filter(({ quantity }) => quantity === 'overall-plant-efficiency')
      const kept = withheld.filter(({ quantity }) => quantity === 'overall-plant-efficiency')
      expect(efficiencies.length + kept.length).toBeGreaterThan(0)
      expect(handChecks.map(({ run }) => run)).toEqual(efficiencies.map(({ run }) => run))
      efficiencies.forEach(({ value: exact }, i) => {
        const check = handChecks[i]!
        expect(Math.abs(check.atExactHead / exact - 1)).toBeLessThan(0.0015)
        expect(Math.abs(check.overallPlantEfficiency / exact - 1)).toBeLessThan(0.0015)
        expect(check.steps.at(-1)!.value).toBe(check.overallPlantEfficiency)
      })
    },
  )

  test('is the arithmetic it shows', () => {
    const { steps } = changedVisit().evaluation.handChecks[0]!
    expect(steps.map(({ label }) => label)).toEqual([
      'Gauge head',
      'Velocity head',
      'Total dynamic head',
      'Water horsepower',
      'Input horsepower',
      'Overall plant efficiency',
    ])
    const [gauge, velocity, head, water, input, efficiency] = steps.map(({ value }) => value) as [
      number,
      number,
      number,
      number,
      number,
      number,
    ]
    expect(gauge).toBeCloseTo(41.5 * 2.31 + 1.3, 10)
    expect(head).toBeCloseTo(143.9 + gauge + velocity, 10)
    expect(efficiency).toBeCloseTo(water / input, 14)
    expect(steps[0]!.expression).toMatch(/^41\.50* psi × 2\.31 \+ 1\.30* ft$/)
  })

  test('needs flow, lift, pressure and power', () => {
    const without = [
      changedVisit((sheet) => delete sheet.runs[0]!.flow),
      changedVisit((sheet) => delete sheet.runs[0]!.pumpingLevel),
      changedVisit((sheet) => delete sheet.runs[0]!.power),
    ]
    for (const { evaluation } of without) expect(evaluation.handChecks).toEqual([])
  })

  test('is in customary units also for a metric sheet', () => {
    const { sheet, context } = goldenCase('SHEET-01')
    const [us, metric] = [sheet, inMetric(sheet)].map((visited) => evaluated(visited, context).handChecks[0]!)
    expect(metric!.steps.map(({ unit }) => unit)).toEqual(us!.steps.map(({ unit }) => unit))
    expect(metric!.overallPlantEfficiency).toBeCloseTo(us!.overallPlantEfficiency, 10)
  })
})

test('every unit a result may be shown in can be read back', () => {
  for (const { dimension, us, metric } of Object.values(quantities))
    for (const unit of [us, metric]) expect(acceptedUnits(dimension)).toContain(unit)
})
