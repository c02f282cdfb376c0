import { describe, expect, test } from 'vitest'
import type { Context } from './context.ts'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import type { Trace, TraceNode } from './evaluation.ts'
import { formulas } from './formulas/list.ts'
import type { QuantityId } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import { sheetProblems } from './sheet-problems.ts'
import { atPointer, flowBy, goldenCase, powerBy, QUANTITIES_OF_SHEET_01 } from './testing.ts'
import { boosterInPipe, boosterOverPond, wellByOtherMethods, wellThroughPipes } from './testing-visits.ts'
import { traceQuantity } from './trace.ts'
import { unitSize } from './units.ts'

const inches = (value: number) => ({ value, unit: 'in' as const })
const feet = (value: number) => ({ value, unit: 'ft' as const })

interface Visit {
  readonly sheet: Sheet
  readonly context: Context
}
type Change = (sheet: Sheet) => void

function visit(change: Change = () => {}): Visit {
  const { sheet, context } = goldenCase('SHEET-01')
  change(sheet)
  expect(sheetProblems(sheet)).toEqual([])
  return { sheet, context }
}

const visits: readonly (readonly [what: string, visit: Visit])[] = [
  ['as it is', visit()],
  [
    'points read as repeats and as swings',
    visit(({ runs: [run] }) => {
      flowBy(run, 'pitot-traverse').diameters[0]!.points[2] = { unit: 'in', repeats: [4.1, 4.4, 3.8] }
      flowBy(run, 'pitot-traverse').diameters[1]!.points[4] = { unit: 'in', low: 5.1, high: 5.9 }
      flowBy(run, 'pitot-traverse').diameters[1]!.points[0] = { unit: 'in', value: 0.3 }
    }),
  ],
  [
    'a pipe measured from outside, a liquid in the manometer, its own diameter at the tap',
    visit(({ runs: [run] }) => {
      const flow = flowBy(run, 'pitot-traverse')
      flow.pipe = {
        outsideDiameter: inches(10.75),
        wallThickness: inches(0.25),
        liningThickness: inches(0.11),
        diameterBasis: 'outside-and-wall',
      }
      Object.assign(flow.manometer, { fluid: 'liquid-under-water', relativeDensity: { value: 2.95, unit: '1' } })
      run!.dischargePressure!.insideDiameterAtTap = inches(8.02)
      powerBy(run, 'meter-revolutions').otherLoads = 'measured'
      powerBy(run, 'meter-revolutions').otherLoad = { value: 1.7, unit: 'hp' }
    }),
  ],
  [
    'measuring points above the datum, one inside diameter, other counts in the timings',
    visit((sheet) => {
      sheet.standingLevel!.measuringPointAboveDatum = feet(0.4)
      const run = sheet.runs[0]!
      run.pumpingLevel!.measuringPointAboveDatum = feet(0.4)
      flowBy(run, 'pitot-traverse').pipe.insideDiameters = [inches(10.03)]
      powerBy(run, 'meter-revolutions').timings[1]!.revolutions.value = 12
      powerBy(run, 'meter-revolutions').timings[1]!.elapsed = { value: 0.67, unit: 'min' }
    }),
  ],
  [
    'nothing read that a default can stand in for',
    visit((sheet) => {
      delete sheet.instruments
      const run = sheet.runs[0]!
      delete run.waterTemperature
      delete run.dischargePressure
      delete powerBy(run, 'meter-revolutions').otherLoads
      run.dischargeOpen = true
      flowBy(run, 'pitot-traverse').pipe = {
        outsideDiameter: inches(10.75),
        wallThickness: inches(0.25),
        diameterBasis: 'outside-and-wall',
      }
    }),
  ],
]

const trace = ({ sheet, context }: Visit, quantity: QuantityId = 'overall-plant-efficiency'): Trace =>
  traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })!

/** Adds to a reading: one value, an entry of repeats, or both ends of a swing. */
function raise(sheet: Sheet, place: string, by: number): void {
  const found = atPointer(sheet, place)
  if (typeof found === 'number') {
    const cut = place.lastIndexOf('/')
    ;(atPointer(sheet, place.slice(0, cut)) as number[])[Number(place.slice(cut + 1))] = found + by
    return
  }
  const reading = found as Record<'value' | 'low' | 'high', number | undefined>
  for (const name of ['value', 'low', 'high'] as const)
    if (reading[name] !== undefined) reading[name] = reading[name] + by
}

const readingsOf = ({ nodes }: Trace): TraceNode[] => nodes.filter(({ id }) => id === 'reading')
const leafId = (place: string): string =>
  place.startsWith('edition/') ? 'default' : place.startsWith('plant/') ? 'record' : 'reading'

/** Visits by other methods: every run of each. */
const byOtherMethods = Object.entries({ boosterOverPond, boosterInPipe, wellByOtherMethods, wellThroughPipes }).flatMap(
  ([what, make]) =>
    make().sheet.runs.map((_, run) => {
      const { sheet, context } = make()
      // The run in question is the only one: its readings are at /runs/0.
      sheet.runs = [sheet.runs[run]!]
      expect(sheetProblems(sheet)).toEqual([])
      return [`${what}, run ${run}`, { sheet, context }] as const
    }),
)

describe.each([...visits, ...byOtherMethods])('a trace of a visit: %s', (_, { sheet, context }) => {
  const traced = trace({ sheet, context })

  test('each reading’s sensitivity is the change of efficiency when that reading is changed', () => {
    let checked = 0
    for (const { reading } of readingsOf(traced)) {
      const found = atPointer(sheet, reading!.place)
      if (typeof found === 'string' || typeof found === 'boolean') continue
      const step = 1e-4 * (Math.abs(reading!.value) || 1)
      const [above, below] = [step, -step].map((by) => {
        const changed = structuredClone(sheet)
        raise(changed, reading!.place, by)
        return trace({ sheet: changed, context }).value
      }) as [number, number]
      const change = (above - below) / (2 * step)
      expect(Math.abs(reading!.sensitivity / change - 1), reading!.place).toBeLessThan(1e-5)
      checked++
    }
    expect(checked).toBeGreaterThan(9)
  })

  test('every leaf points to what is really there: sheet, instrument or edition', () => {
    const known = new Set([...Object.keys(latestEdition.defaults), 'traverse-integration'])
    // What is taken where nothing was read.
    const assumed = new Set(['manometer-pressure', 'no-lining', 'no-rollover'])
    const codes = new Set(context.instruments.map(({ code }) => code))
    const check = (place: string, names: ReadonlySet<string>): void => {
      const [origin, name] = place.split('/') as [string, string]
      if (origin === 'edition') expect(names, place).toContain(name)
      else if (origin === 'instrument') expect(codes, place).toContain(name)
      else if (origin === 'plant') expect(atPointer(context, `/${place}`), place).toBeDefined()
      else expect(atPointer(sheet, place), place).toBeDefined()
    }
    for (const { id, reading } of traced.nodes)
      if (reading !== undefined) {
        check(reading.place, new Set([...known, ...assumed]))
        expect(id).toBe(leafId(reading.place))
      }
    for (const { place } of traced.components) check(place, known)
  })

  test('advice names the same places', () => {
    const { advice } = evaluate(sheet, context, latestEdition)
    expect(advice.length).toBeGreaterThan(5)
    for (const { place } of advice) {
      const [origin, name] = place.split('/') as [string, string]
      if (origin === 'edition') expect(Object.keys(latestEdition.defaults)).toContain(name)
      else if (origin === 'plant') expect(atPointer(context, `/${place}`), place).toBeDefined()
      else if (origin !== 'instrument') expect(atPointer(sheet, place), place).toBeDefined()
    }
  })

  test('shows each reading as it was read', () => {
    for (const { reading } of readingsOf(traced)) {
      const found = atPointer(sheet, reading!.place) as Record<'value' | 'low' | 'high', number> | number | string
      if (typeof found === 'string' || typeof found === 'boolean') continue
      const value = typeof found === 'number' ? found : (found.value ?? (found.low + found.high) / 2)
      expect(reading!.value).toBe(value)
    }
  })

  test('shares of variance add up to one, the largest first', () => {
    for (const quantity of QUANTITIES_OF_SHEET_01) {
      const one = traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })
      if (one === undefined || one.standardUncertainty === 0) continue
      const shares = one.components.map(({ shareOfVariance }) => shareOfVariance)
      expect(Math.abs(shares.reduce((sum, share) => sum + share, 0) - 1), quantity).toBeLessThan(1e-9)
      expect(shares).toEqual([...shares].sort((a, b) => b - a))
      expect(Math.max(...shares)).toBeLessThanOrEqual(1)
    }
  })

  test('the uncertainty is what its components make together', () => {
    const variance = traced.components.reduce((sum, c) => sum + (c.sensitivity * c.standardUncertainty) ** 2, 0)
    expect(Math.sqrt(variance) / traced.standardUncertainty).toBeCloseTo(1, 12)
  })

  test('every node can be computed again from what it names', () => {
    const byId = new Map(formulas.map((formula) => [formula.id, formula]))
    for (const { id, inputs, value, expression, unit } of traced.nodes) {
      const formula = byId.get(id)
      if (formula === undefined) continue
      const at: Record<string, number | number[]> = {}
      for (const [name, kind] of Object.entries(formula.inputs)) {
        const own = inputs.filter((input) => input.name.replace(/\[\d+\]$/, '') === name)
        const values = own.map((input) => traced.nodes[input.node]!.value)
        at[name] = typeof kind === 'string' ? values[0]! : values
      }
      expect(formula.value(at)).toBe(value)
      expect([expression, unit]).toEqual([formula.expression, formula.unit])
    }
  })

  test('begins with the quantity, and every input comes after what uses it', () => {
    expect(traced.nodes[0]!.value).toBe(traced.value)
    expect(traced.nodes[0]!.sensitivity).toBe(1)
    traced.nodes.forEach(({ node, inputs }, index) => {
      expect(node).toBe(index)
      for (const input of inputs) expect(input.node).toBeGreaterThan(index)
    })
    const used = new Set(traced.nodes.flatMap(({ inputs }) => inputs.map(({ node }) => node)))
    expect(used.size).toBe(traced.nodes.length - 1)
  })

  test('every node and component tells its source', () => {
    for (const { source } of [...traced.nodes, ...traced.components]) {
      expect(source.document).not.toBe('')
      expect(source.place).not.toBe('')
    }
  })
})

describe('a trace', () => {
  test('is there for every result, with the same value and uncertainty', () => {
    const { sheet, context } = visit()
    for (const quantity of QUANTITIES_OF_SHEET_01) {
      const one = traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })!
      expect(one, quantity).toBeDefined()
      expect([one.quantity, one.run, one.edition]).toEqual([quantity, 0, latestEdition.id])
    }
  })

  test('is not there for a quantity or run that is not', () => {
    const { sheet, context } = visit((changed) => {
      delete changed.standingLevel
    })
    const ask = (quantity: QuantityId, run: number) => traceQuantity(sheet, context, latestEdition, { quantity, run })
    expect(ask('drawdown', 0)).toBeUndefined()
    expect(ask('specific-capacity', 0)).toBeUndefined()
    expect(ask('lift', 0)).toBeDefined()
    expect(ask('lift', 1)).toBeUndefined()
  })

  test('of the cost is in the currency of the rate, its sensitivity for a price of one kWh', () => {
    const { sheet, context } = visit((changed) => {
      changed.economics!.energyRate!.unit = 'EUR/kWh'
    })
    const cost = trace({ sheet, context }, 'cost-per-volume')
    const price = readingsOf(cost).find(({ reading }) => reading!.place === '/economics/energyRate')!.reading!
    expect([cost.unit, price.unit, price.value]).toEqual(['EUR/m3', 'EUR/kWh', 0.162])
    expect((price.sensitivity * 0.162) / cost.value).toBeCloseTo(1, 12)
  })

  test('gives sensitivities per unit read, whatever the unit', () => {
    const inPsi = readingsOf(trace(visit())).find(({ title }) => title === 'Discharge gauge')!
    expect(inPsi.reading!.unit).toBe('psi')
    expect(inPsi.reading!.sensitivity).toBe(inPsi.sensitivity * unitSize('psi', 'pressure'))
  })
})
