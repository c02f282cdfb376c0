import { readFileSync } from 'node:fs'
import type { Sheet, sheetProblems } from '@liftledger/calc'
import * as calc from '@liftledger/calc'
import { describe, expect, expectTypeOf, test } from 'vitest'
import { bundleSize } from '../size.ts'
import type * as wire from './generated/types.ts'
import { shapeProblems } from './shape.ts'
import type * as builder from './sheet.ts'
import {
  acreFeet,
  fahrenheit,
  feet,
  flow,
  hours,
  inches,
  level,
  minutes,
  perKilowattHour,
  power,
  psi,
  ratio,
  repeated,
  revolutions,
  seconds,
  suction,
  swinging,
  wattHoursPerRevolution,
  wellSheet,
} from './sheet.ts'
import type { CamelCase, MethodBuilders } from './sheet-builder/methods.ts'
import * as units from './sheet-builder/units.ts'

const day = '2026-05-12'
const at = (time: string) => ({ at: `${day}T${time}:00-07:00` })
const points = (...values: number[]) => values.map((value) => inches(value))

function fieldSheet() {
  return wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day })
    .instruments({ level: 'sounder-a', pressure: 'gauge-100', flow: 'pitot-1', time: 'watch-1' })
    .pumpStoppedBefore({ restTime: hours(14) })
    .dischargeCentreAboveDatum(feet(2.2))
    .standingLevel(
      level.electricSounder({
        mark: 'access-edge',
        reading: feet(118.4, at('07:52')),
        repeats: [feet(118.4), feet(118.5)],
      }),
    )
    .run((run) =>
      run
        .condition({ duty: 'usual', valve: 'fully-open' })
        .pumpStartedAt(at('08:05').at)
        .startedAt(at('08:25').at)
        .endedAt(at('08:55').at)
        .waterTemperature(fahrenheit(64))
        .pumpingLevel(
          level.electricSounder({
            mark: 'access-edge',
            reading: feet(141.7, at('08:49')),
            series: [
              feet(139.3, at('08:13')),
              feet(140.9, at('08:23')),
              feet(141.4, at('08:33')),
              feet(141.6, at('08:43')),
              feet(141.7, at('08:49')),
            ],
          }),
        )
        .dischargePressure({
          reading: psi(41.5, at('08:45')),
          gaugeZero: psi(0),
          swing: psi(0.5),
          gaugeHeightAboveDischargeCentre: feet(1.3),
        })
        .flow(
          flow.pitotTraverse({
            rule: 'equal-area',
            pipe: {
              diameterBasis: 'measured',
              straightUpstream: inches(118),
              straightDownstream: inches(36),
              insideDiameters: [inches(10.02), inches(10.04)],
            },
            tube: { coefficient: ratio(1) },
            manometer: {
              fluid: 'air-over-water',
              resolution: inches(0.05),
              zeroBefore: inches(0),
              zeroAfter: inches(0.05),
            },
            traverseDuration: minutes(11),
            diameters: [
              { points: points(2.45, 3.45, 4.1, 4.7, 5.35, 5.6, 4.95, 4.45, 3.85, 2.7), centre: inches(6.1) },
              { points: points(2.65, 3.65, 4.3, 4.85, 5.5, 5.5, 4.7, 4.15, 3.5, 2.55), centre: inches(6.1) },
            ],
          }),
        )
        .power(
          power.meterRevolutions({
            point: 'supply',
            kh: wattHoursPerRevolution(1.8),
            multiplier: ratio(40),
            otherLoads: 'none',
            timings: [
              { revolutions: revolutions(10), elapsed: seconds(33.4), ...at('08:35') },
              { revolutions: revolutions(10), elapsed: seconds(33.5), ...at('08:38') },
              { revolutions: revolutions(10), elapsed: seconds(33.3), ...at('08:41') },
            ],
          }),
        ),
    )
    .economics({ energyRate: perKilowattHour(0.162, 'USD'), annualVolume: acreFeet(640) })
    .build()
}

describe('a sheet written step by step', () => {
  test('is the very field sheet of the demo', () => {
    const file = readFileSync(new URL('../../../seed/field-sheet.json', import.meta.url), 'utf8')
    expect(fieldSheet()).toEqual(JSON.parse(file))
    expect(shapeProblems(calc.Sheet as Parameters<typeof shapeProblems>[0], fieldSheet())).toEqual([])
  })

  test('is what the API and the calculation take', () => {
    expectTypeOf(fieldSheet).returns.toEqualTypeOf<wire.Sheet>()
    expectTypeOf<wire.Sheet>().toExtend<Sheet>()
    expectTypeOf<Parameters<typeof sheetProblems>[0]>().toEqualTypeOf<Sheet>()
  })

  test('offers what is left, and its end only when nothing required is', () => {
    const begun = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day })
    expectTypeOf(begun).toHaveProperty('standingLevel')
    expectTypeOf(begun).not.toHaveProperty('plant')
    expectTypeOf(begun).not.toHaveProperty('build')
    const level1 = begun.standingLevel(level.electricSounder({ reading: feet(118.4) }))
    expectTypeOf(level1).not.toHaveProperty('standingLevel')
    const withRun = level1.run((run) => run)
    expectTypeOf(withRun).toHaveProperty('run')
    expectTypeOf(withRun).toHaveProperty('build')
    expectTypeOf(withRun).not.toHaveProperty('standingLevel')
    expect(withRun.run((run) => run.dischargeOpen(true)).build().runs).toEqual([{}, { dischargeOpen: true }])
  })

  test('can begin once and end twice', () => {
    const begun = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day }).run((run) => run)
    const [first, second] = [begun.normalRun(0).build(), begun.dischargeCentreAboveDatum(feet(2)).build()]
    expect(first).toEqual({ plant: 'AM-01', tester: 'T-01', testedOn: day, kind: 'well', runs: [{}], normalRun: 0 })
    expect(second).not.toHaveProperty('normalRun')
  })

  test('once built is changed by nothing', () => {
    const condition = { duty: 'usual' as const, outletsOpen: ['A'] }
    const begun = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day }).run((run) => run.condition(condition))
    const sheet = begun.build()
    condition.outletsOpen.push('B')
    expect(sheet.runs[0]?.condition?.outletsOpen).toEqual(['A'])
  })

  test('may be awaited and printed while it is a draft', async () => {
    const begun = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day })
    expect(await begun).toBe(begun)
    expect(JSON.stringify(begun)).toBe('{}')
  })

  test('refuses another unit’s dimension and another method’s readings', () => {
    const begun = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: day })
    // @ts-expect-error a level is a length
    begun.standingLevel(level.electricSounder({ reading: psi(118.4) }))
    // @ts-expect-error a level is not a flow
    begun.standingLevel(flow.pitotTraverse({}))
    // @ts-expect-error no such member
    begun.colour('red')
  })
})

test('each method of each union has a builder, and no other', () => {
  expectTypeOf<keyof typeof level>().toEqualTypeOf<CamelCase<wire.LevelReading['method']>>()
  expectTypeOf<keyof typeof suction>().toEqualTypeOf<CamelCase<wire.Suction['method']>>()
  expectTypeOf<keyof typeof flow>().toEqualTypeOf<CamelCase<wire.FlowReadings['method']>>()
  expectTypeOf<keyof typeof power>().toEqualTypeOf<CamelCase<wire.PowerReadings['method']>>()
  expectTypeOf<`${wire.Sheet['kind']}Sheet`>().toExtend<keyof typeof builder>()
  const camelCase = (id: string) => id.replaceAll(/-(.)/g, (_, letter: string) => letter.toUpperCase())
  for (const builders of [level, suction, flow, power]) {
    for (const [name, build] of Object.entries(builders as Record<string, (readings: object) => { method: string }>)) {
      expect(camelCase(build({}).method)).toBe(name)
    }
  }
})

test('a method without a builder does not compile', () => {
  const weir = (readings: { crest: number }) => ({ method: 'weir' as const, ...readings })
  const complete: MethodBuilders<{ method: 'weir'; crest: number }> = { weir }
  // @ts-expect-error there is a second method
  const forgotten: MethodBuilders<{ method: 'weir'; crest: number } | { method: 'orifice-plate' }> = { weir }
  expect(forgotten).toEqual(complete)
})

test('no member of a sheet or a run has the name of a step', () => {
  type Steps = 'build' | 'run' | 'then' | 'toJSON' | 'constructor' | 'inspect'
  expectTypeOf<Extract<keyof wire.Sheet | keyof wire.Run, Steps>>().toBeNever()
})

describe('units', () => {
  /** Dimensions of results; nobody reads them off an instrument. */
  const computed = [
    'density',
    'specific-capacity',
    'energy-per-volume',
    'energy-per-volume-and-head',
    'work-per-energy',
    'fuel-rate',
    'fuel-per-water',
    'work-per-fuel',
    'thermal-expansion',
    'level-rate',
  ]
  const functions = Object.values(units).flatMap((unit) => ('unit' in unit ? [unit] : []))

  test('each unit that can be read has one function', () => {
    const read = calc.unitTable().filter(({ dimension }) => !computed.includes(dimension))
    const symbols = read.flatMap(({ units: declared }) => declared.map(({ symbol }) => symbol)).toSorted()
    expect(functions.map(({ unit }) => unit as string).toSorted()).toEqual(symbols)
  })

  test('a reading carries value, unit and what was said of it, unconverted', () => {
    expect(feet(118.4)).toEqual({ value: 118.4, unit: 'ft' })
    expect(feet(118.4, { instrument: 'sounder-b' })).toEqual({ value: 118.4, unit: 'ft', instrument: 'sounder-b' })
    expect(swinging(inches, 2.4, 2.6)).toEqual({ unit: 'in', low: 2.4, high: 2.6 })
    expect(repeated(inches, 2.4, 2.5)).toEqual({ unit: 'in', repeats: [2.4, 2.5] })
  })
})

test('the entry is small and brings no calculation along', async () => {
  expect((await bundleSize("export * from './src/sheet.ts'")).gzipBytes).toBeLessThan(2_500)
})
