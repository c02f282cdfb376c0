/**
 * Sheets beside an implementation of its own, written in another language from the text of the method.
 *
 * Each script of the folder prints a fixture with its name: sheets, what comes out of them, and every step between. A
 * key of `intermediates` is the id of a formula, or `run 1: id` for another run than the first; its value is what the
 * formula gives, or a list where it is applied several times, in the order of the sheet.
 */
import { spawnSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import {
  type Context,
  type Evaluation,
  evaluate,
  latestEdition,
  type QuantityId,
  Sheet,
  sheetProblems,
  traceQuantity,
} from '@liftledger/calc'
import { describe, expect, test } from 'vitest'
import { shapeProblems } from '../../packages/sdk/src/shape.ts'

type Figures = Readonly<Record<string, Readonly<Record<string, number>>>>

interface Case {
  readonly id: string
  readonly sheet: Sheet
  readonly context?: Context
  /** By run (`run0`) and quantity, in SI. */
  readonly results: Figures
  readonly standardUncertainties?: Figures
  readonly intermediates: Readonly<Record<string, number | readonly number[]>>
  /** By run: quantities that must not be reported, and the finding they fail by. */
  readonly withheld?: Readonly<Record<string, Readonly<Record<string, string>>>>
}

interface Fixture {
  readonly script: string
  readonly sheets: readonly Case[]
}

/** Relative. */
const WITHIN = 1e-9
const folder = new URL('./', import.meta.url)

function fixtureOf(name: string): Fixture {
  const read = JSON.parse(readFileSync(new URL(name, folder), 'utf8')) as Fixture
  if (!Array.isArray(read.sheets)) throw new Error(`${name} holds no 'sheets'.`)
  return read
}

const fixtures = readdirSync(folder)
  .filter((name) => name.endsWith('.json'))
  .map(fixtureOf)

const plainContext = (sheet: Sheet): Context => ({
  plant: { code: sheet.plant, kind: sheet.kind },
  tester: { code: sheet.tester, qualifications: [] },
  instruments: [],
})

const near = (value: number, expected: number, what: string): void => {
  const apart = expected === 0 ? Math.abs(value) : Math.abs(value / expected - 1)
  expect(apart, `${what}: ${value}, not ${expected}`).toBeLessThan(WITHIN)
}

const runOf = (key: string): number => Number(/^run(\d+)$/.exec(key)![1])

function compareResults({ results, standardUncertainties = {}, withheld = {} }: Case, evaluation: Evaluation): void {
  const find = (run: string, quantity: string) =>
    evaluation.results.find((one) => one.run === runOf(run) && one.quantity === quantity)
  for (const [run, quantities] of Object.entries(results))
    for (const [quantity, value] of Object.entries(quantities)) {
      const result = find(run, quantity)
      expect(result, `${run} ${quantity}`).toBeDefined()
      near(result!.value, value, `${run} ${quantity}`)
    }
  for (const [run, quantities] of Object.entries(standardUncertainties))
    for (const [quantity, value] of Object.entries(quantities))
      near(find(run, quantity)!.standardUncertainty, value, `${run}, uncertainty of ${quantity}`)
  for (const [run, quantities] of Object.entries(withheld))
    for (const [quantity, because] of Object.entries(quantities)) {
      expect(find(run, quantity), `${run} ${quantity}`).toBeUndefined()
      expect(evaluation.withheld).toContainEqual({ run: runOf(run), quantity, because })
    }
}

/** What each formula gave in a run, over the traces of the quantities that are compared; in the order of the sheet. */
function stepsOfRun({ sheet, results, withheld }: Case, context: Context, run: number): Map<string, number[]> {
  const longest = new Map<string, number[]>()
  const named = { ...results[`run${run}`], ...withheld?.[`run${run}`] }
  for (const quantity of Object.keys(named) as QuantityId[]) {
    const steps = new Map<string, number[]>()
    // Inputs come after what uses them: turned round, they come in the order of the sheet.
    for (const node of [...traceQuantity(sheet, context, latestEdition, { quantity, run })!.nodes].reverse())
      steps.set(node.id, [...(steps.get(node.id) ?? []), node.value])
    for (const [id, values] of steps) if (values.length > (longest.get(id)?.length ?? 0)) longest.set(id, values)
  }
  return longest
}

function compareSteps(one: Case, context: Context): void {
  const byRun = new Map<number, Map<string, number[]>>()
  for (const [key, expected] of Object.entries(one.intermediates)) {
    const [, run = '0', id] = /^(?:run (\d+): )?(.+)$/.exec(key)!
    const index = Number(run)
    const steps = byRun.get(index) ?? stepsOfRun(one, context, index)
    byRun.set(index, steps)
    const values = steps.get(id!)
    expect(values, `${key} is no step of what is compared`).toBeDefined()
    const all = typeof expected === 'number' ? [expected] : expected
    expect(values, key).toHaveLength(all.length)
    for (const [i, value] of all.entries()) near(values![i]!, value, `${key}, ${i}`)
  }
}

/** Numbers of a fixture with their places, and everything else as it is. */
function flatten(value: unknown, at = '', into = new Map<string, unknown>()): Map<string, unknown> {
  if (typeof value === 'object' && value !== null)
    for (const [key, part] of Object.entries(value)) flatten(part, `${at}/${key}`, into)
  else into.set(at, value)
  return into
}

const pythonAnswers = spawnSync('python3', ['--version']).status === 0

test('there are fixtures, and no two sheets of one name', () => {
  expect(fixtures.length).toBeGreaterThan(0)
  const ids = fixtures.flatMap(({ sheets }) => sheets.map(({ id }) => id))
  expect(new Set(ids).size).toBe(ids.length)
})

describe.each(fixtures.map((one) => [one.script, one] as const))('%s', (script, { sheets }) => {
  test.each(sheets.map((one) => [one.id, one] as const))('%s comes out the same to 1e-9', (_, one) => {
    const { sheet, context = plainContext(sheet) } = one
    expect(shapeProblems(Sheet, sheet)).toEqual([])
    expect(sheetProblems(sheet)).toEqual([])
    expect(Object.keys(one.intermediates)).not.toEqual([])
    compareResults(one, evaluate(sheet, context, latestEdition))
    compareSteps(one, context)
  })

  test.runIf(pythonAnswers)('prints its fixture', () => {
    const { status, stdout } = spawnSync('python3', [fileURLToPath(new URL(script, folder))], { encoding: 'utf8' })
    expect(status).toBe(0)
    const printed = flatten((JSON.parse(stdout) as Fixture).sheets)
    const kept = flatten(sheets)
    expect([...printed.keys()]).toEqual([...kept.keys()])
    // The last digits of sines and powers differ between C libraries.
    for (const [at, value] of kept)
      if (typeof value === 'number') near(printed.get(at) as number, value, at)
      else expect(printed.get(at), at).toBe(value)
  })
})
