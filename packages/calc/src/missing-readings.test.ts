/** Whatever is missing or odd on a sheet, an evaluation answers: with numbers that are numbers, or without them. */
import { Ajv } from 'ajv'
import ajvFormats from 'ajv-formats'
import fc from 'fast-check'
import { describe, expect, test, vi } from 'vitest'
import type { Context } from './context.ts'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import { Evaluation, Trace } from './evaluation.ts'
import { Sheet } from './sheet.ts'
import { sheetProblems } from './sheet-problems.ts'
import { atPointer, flowBy, goldenCase, notJson, powerBy, sounded } from './testing.ts'
import { boosterInPipe, boosterOverPond, wellByOtherMethods, wellThroughPipes } from './testing-visits.ts'
import { traceQuantity } from './trace.ts'

// Thousands of sheets in each test: on a busy machine they take longer than the usual limit.
vi.setConfig({ testTimeout: 120_000 })

const ajv = new Ajv({ strict: true, strictRequired: false, discriminator: true })
ajvFormats.default(ajv)
const hasTheShape = ajv.compile<Sheet>(Sheet)
const isEvaluation = ajv.compile(Evaluation)
const isTrace = ajv.compile(Trace)

const inches = (value: number) => ({ value, unit: 'in' as const })
const feet = (value: number) => ({ value, unit: 'ft' as const })

/** SHEET-01 with every member filled in that a sheet may have, and a second run. */
function fullSheet(): Sheet {
  const { sheet } = goldenCase('SHEET-01')
  const run = sheet.runs[0]!
  const flow = flowBy(run, 'pitot-traverse')
  const power = powerBy(run, 'meter-revolutions')
  sheet.standingLevel!.measuringPointAboveDatum = feet(0.4)
  run.pumpingLevel!.measuringPointAboveDatum = feet(0.4)
  sounded(run.pumpingLevel).repeats = [feet(141.7), feet(141.9), feet(141.6)]
  run.pumpStoppedAt = '2026-05-12T09:10:00-07:00'
  run.condition = { duty: 'usual', valve: 'fully-open', outletsOpen: ['block-1'], otherPumps: 'off' }
  run.dischargePressure!.insideDiameterAtTap = inches(8.02)
  flow.manometer.resolution = inches(0.05)
  flow.diameters[0]!.positions = flow.diameters[0]!.points.map((_, i) => inches(0.25 + i))
  flow.diameters[0]!.points[2] = { unit: 'in', repeats: [4.1, 4.3, 3.9] }
  flow.diameters[1]!.points[3] = { unit: 'in', low: 4.6, high: 5.1 }
  flow.tube.instrument = 'pitot-1'
  power.otherLoads = 'measured'
  power.otherLoad = { value: 1.2, unit: 'kW' }
  power.meterSerial = 'M-1'
  power.generationBehindMeter = false
  const second = structuredClone(run)
  delete flowBy(second, 'pitot-traverse').pipe.insideDiameters
  Object.assign(flowBy(second, 'pitot-traverse').pipe, {
    outsideDiameter: inches(10.75),
    wallThickness: inches(0.25),
    liningThickness: inches(0.1),
    diameterBasis: 'outside-and-wall',
  })
  sheet.runs.push(second)
  sheet.normalRun = 0
  sheet.leftOut = [{ reading: 'gauge-height', run: 1, reason: 'no-access' }]
  return sheet
}

interface JsonSchema {
  readonly properties?: Record<string, JsonSchema>
  readonly required?: readonly string[]
  readonly items?: JsonSchema
  readonly minItems?: number
  readonly oneOf?: readonly JsonSchema[]
  readonly const?: unknown
  readonly exclusiveMinimum?: number
  readonly minimum?: number
  readonly type?: string
}

/** Everything in a sheet that its schema would let be absent: optional members, and entries of lists. */
function removable(schema: JsonSchema, value: unknown, pointer = ''): string[] {
  if (Array.isArray(value)) {
    const spare = value.length > (schema.minItems ?? 0)
    return value.flatMap((item, i) => [
      ...(spare ? [`${pointer}/${i}`] : []),
      ...removable(schema.items!, item, `${pointer}/${i}`),
    ])
  }
  if (value === null || typeof value !== 'object') return []
  const method = (value as { method?: string }).method
  const chosen = schema.oneOf?.find((branch) => branch.properties?.method?.const === method) ?? schema
  return Object.entries(value).flatMap(([name, member]) => [
    ...(chosen.required?.includes(name) ? [] : [`${pointer}/${name}`]),
    ...removable(chosen.properties![name]!, member, `${pointer}/${name}`),
  ])
}

/** Every number of a sheet, with whether it must be above zero. */
function numbers(schema: JsonSchema, value: unknown, pointer = ''): { pointer: string; schema: JsonSchema }[] {
  if (typeof value === 'number') return schema.type === 'number' ? [{ pointer, schema }] : []
  if (Array.isArray(value)) return value.flatMap((item, i) => numbers(schema.items!, item, `${pointer}/${i}`))
  if (value === null || typeof value !== 'object') return []
  const method = (value as { method?: string }).method
  const chosen = schema.oneOf?.find((branch) => branch.properties?.method?.const === method) ?? schema
  return Object.entries(value).flatMap(([name, member]) =>
    numbers(chosen.properties![name]!, member, `${pointer}/${name}`),
  )
}

/** Removes what a pointer leads to; an entry of a list closes up. Pointers that lead nowhere any more are passed over. */
function remove(sheet: Sheet, pointer: string): void {
  const cut = pointer.lastIndexOf('/')
  const parent = atPointer(sheet, pointer.slice(0, cut))
  const name = pointer.slice(cut + 1)
  if (Array.isArray(parent)) parent.splice(Number(name), 1)
  else if (parent !== undefined) delete (parent as Record<string, unknown>)[name]
}

/** The evaluation and two of its traces are JSON of the shape that is promised. */
function expectAnswers(sheet: Sheet, context: Context): void {
  const evaluation = evaluate(sheet, context, latestEdition)
  expect(notJson(evaluation)).toEqual([])
  if (!isEvaluation(evaluation)) expect(isEvaluation.errors).toBeNull()
  for (const quantity of ['overall-plant-efficiency', 'specific-capacity'] as const) {
    const trace = traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })
    if (trace === undefined) continue
    expect(notJson(trace)).toEqual([])
    if (!isTrace(trace)) expect(isTrace.errors).toBeNull()
  }
}

const { context } = goldenCase('SHEET-01')
const full = fullSheet()

const visits: readonly (readonly [what: string, sheet: Sheet, context: Context, leastOptional: number])[] = [
  ['a well by traverse and disk', full, context, 150],
  ...Object.entries({ boosterOverPond, boosterInPipe, wellByOtherMethods, wellThroughPipes }).map(
    ([what, make]) => [what, make().sheet, make().context, 60] as const,
  ),
]

describe.each(visits)('%s with readings missing', (_, whole, records, leastOptional) => {
  const optional = removable(Sheet as unknown as JsonSchema, whole)

  test('the full sheet has the shape, and much of it may be absent', () => {
    expect(hasTheShape(whole), JSON.stringify(hasTheShape.errors)).toBe(true)
    expect(sheetProblems(whole)).toEqual([])
    expect(optional.length).toBeGreaterThan(leastOptional)
  })

  test('each optional member alone may be absent', () => {
    for (const pointer of optional) {
      const sheet = structuredClone(whole)
      remove(sheet, pointer)
      expect(hasTheShape(sheet), pointer).toBe(true)
      if (sheetProblems(sheet).length === 0) expectAnswers(sheet, records)
    }
  })

  test('any of them together may be absent', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.nat(optional.length - 1), { maxLength: 60 }), (chosen) => {
        const sheet = structuredClone(whole)
        // From the back, so that the places in lists stay those of the full sheet.
        for (const index of chosen.sort((a, b) => b - a)) remove(sheet, optional[index]!)
        fc.pre(hasTheShape(sheet) && sheetProblems(sheet).length === 0)
        expectAnswers(sheet, records)
      }),
      { numRuns: 200 },
    )
  })

  test('records may be missing too', () => {
    const bare: Context = {
      plant: { code: whole.plant, kind: whole.kind },
      tester: { code: whole.tester, qualifications: [] },
      instruments: [],
    }
    expectAnswers(whole, bare)
  })
})

test.each(['well', 'booster'] as const)('nothing but an empty run is still a sheet of a %s', (kind) => {
  const sheet: Sheet = { plant: 'p', kind, testedOn: '2026-05-12', tester: 't', runs: [{}] }
  expect(hasTheShape(sheet)).toBe(true)
  expectAnswers(sheet, context)
  expect(evaluate(sheet, context, latestEdition).soundness).toBe('unsound')
})

describe.each(visits)('%s with odd numbers', (_, whole, records) => {
  const places = numbers(Sheet as unknown as JsonSchema, whole)
  const odd = [0, -1, 1e-9, -1e9, 1e300, -1e300, Number.MAX_VALUE, Number.MIN_VALUE]
  const allowed = (value: number, { exclusiveMinimum, minimum }: JsonSchema) =>
    (exclusiveMinimum === undefined || value > exclusiveMinimum) && (minimum === undefined || value >= minimum)

  function put(sheet: Sheet, pointer: string, value: number): void {
    const cut = pointer.lastIndexOf('/')
    ;(atPointer(sheet, pointer.slice(0, cut)) as Record<string, number>)[pointer.slice(cut + 1)] = value
  }

  test('each number alone may be any that the schema allows', () => {
    // One of the points of a traverse stands for all.
    for (const { pointer, schema } of places.filter((place) => !/points\/([4-9]|1\d)/.test(place.pointer)))
      for (const value of odd.filter((candidate) => allowed(candidate, schema))) {
        const sheet = structuredClone(whole)
        put(sheet, pointer, value)
        if (hasTheShape(sheet) && sheetProblems(sheet).length === 0) expectAnswers(sheet, records)
      }
  })

  test('any of them together may be odd', () => {
    const change = fc.tuple(fc.constantFrom(...places), fc.constantFrom(...odd))
    fc.assert(
      fc.property(fc.array(change, { minLength: 2, maxLength: 12 }), (changes) => {
        const sheet = structuredClone(whole)
        for (const [{ pointer }, value] of changes) put(sheet, pointer, value)
        fc.pre(hasTheShape(sheet) && sheetProblems(sheet).length === 0)
        expectAnswers(sheet, records)
      }),
      { numRuns: 200 },
    )
  })
})
