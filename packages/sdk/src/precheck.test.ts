import { evaluate, latestEdition } from '@liftledger/calc'
import { afterEach, describe, expect, expectTypeOf, test, vi } from 'vitest'
import type * as wire from './generated/types.ts'
import { type Context, editions, precheck, ShapeError, type Sheet, trace } from './precheck.ts'

const inches = (...values: number[]) => values.map((value) => ({ value, unit: 'in' as const }))
const feet = (value: number) => ({ value, unit: 'ft' as const })
const timing = (seconds: number) => ({
  revolutions: { value: 10, unit: 'rev' as const },
  elapsed: { value: seconds, unit: 's' as const },
})

/** An invented well with an invented visit. */
const sheet: Sheet = {
  plant: 'P1',
  kind: 'well',
  testedOn: '2026-05-12',
  tester: 'T1',
  dischargeCentreAboveDatum: feet(2.2),
  standingLevel: { method: 'electric-sounder', reading: feet(118.4) },
  runs: [
    {
      pumpingLevel: { method: 'electric-sounder', reading: feet(141.7) },
      dischargePressure: { reading: { value: 41.5, unit: 'psi' }, gaugeHeightAboveDischargeCentre: feet(1.3) },
      flow: {
        method: 'pitot-traverse',
        rule: 'equal-area',
        pipe: { insideDiameters: inches(10.02, 10.04), diameterBasis: 'measured' },
        tube: { coefficient: { value: 1, unit: '1' } },
        manometer: { fluid: 'air-over-water' },
        diameters: [{ points: inches(2.45, 3.45, 4.1, 4.7, 5.35, 5.6, 4.95, 4.45, 3.85, 2.7) }],
      },
      power: {
        method: 'meter-revolutions',
        point: 'supply',
        kh: { value: 1.8, unit: 'Wh/rev' },
        multiplier: { value: 40, unit: '1' },
        otherLoads: 'none',
        timings: [timing(33.4), timing(33.5), timing(33.3)],
      },
    },
  ],
}
const context: Context = {
  plant: { code: 'P1', kind: 'well' },
  tester: { code: 'T1', qualifications: [] },
  instruments: [],
}

/** The error of a sheet that must not pass. */
function refusalOf(faulty: unknown, records: unknown = context): ShapeError {
  try {
    precheck(faulty as Sheet, records as Context)
  } catch (error) {
    if (error instanceof ShapeError) return error
    throw error
  }
  throw new Error('It passed.')
}

afterEach(() => {
  vi.unstubAllGlobals()
})

describe('a pre-check', () => {
  test('is the evaluation of the newest edition', () => {
    const evaluation = precheck(sheet, context)
    expect(evaluation).toEqual(evaluate(sheet, context, latestEdition))
    expect(evaluation.results.map((result) => result.quantity)).toContain('overall-plant-efficiency')
  })

  test('is the evaluation of the edition asked for', () => {
    for (const { id } of editions) expect(precheck(sheet, context, { edition: id }).edition).toBe(id)
    expect(() => precheck(sheet, context, { edition: '1066-1' })).toThrow(/no method edition '1066-1'; there is 2026-1/)
  })

  test('makes no code from text, which a page may forbid', () => {
    const forbidden = () => {
      throw new EvalError('forbidden by the security policy')
    }
    vi.stubGlobal('Function', forbidden)
    vi.stubGlobal('eval', forbidden)
    expect(precheck(sheet, context).results).not.toHaveLength(0)
    expect(refusalOf({}).errors).not.toHaveLength(0)
  })
})

describe('a trace', () => {
  test('begins with the result and ends at readings of the sheet', () => {
    const result = precheck(sheet, context).results.find(({ quantity }) => quantity === 'overall-plant-efficiency')
    const traced = trace(sheet, context, { quantity: 'overall-plant-efficiency' })
    expect(traced?.value).toBe(result?.value)
    expect(traced?.nodes.flatMap((node) => node.reading?.place ?? [])).toContain('/runs/0/power/timings/0/elapsed')
  })

  test('of what the readings don’t allow is absent', () => {
    const {
      runs: [run],
    } = sheet
    const { power: _, ...withoutPower } = run!
    expect(trace({ ...sheet, runs: [withoutPower] }, context, { quantity: 'overall-plant-efficiency' })).toBeUndefined()
  })
})

describe('a sheet that the service would refuse', () => {
  test('is refused with the place, in the message too', () => {
    const error = refusalOf({ ...sheet, testedOn: 'yesterday', plnat: 'P1' })
    expect(error.errors.map(({ pointer, code }) => `${pointer} ${code}`).sort()).toEqual([
      '/plnat unknown-field',
      '/testedOn wrong-format',
    ])
    expect(error.message).toContain("/testedOn: 'yesterday' has the wrong form: a date like 2026-05-04.")
  })

  test('is refused for members that exclude each other', () => {
    expect(refusalOf({ ...sheet, normalRun: 3 }).errors).toMatchObject([{ pointer: '/normalRun', code: 'wrong-shape' }])
  })

  test('is told apart from a faulty context', () => {
    expect(refusalOf(sheet, { ...context, instruments: 'none' }).message).toMatch(
      /the context has the wrong shape\n {2}\/instruments: /,
    )
  })
})

test('a sheet typed by the API description can be pre-checked', () => {
  expectTypeOf<wire.Sheet>().toExtend<Sheet>()
})
