/** Help for tests: partial derivatives beside differences, the golden corpus, and a look for numbers that are none. */
import { readdirSync, readFileSync } from 'node:fs'
import type { Context } from './context.ts'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import type { Evaluation, Result, Trace } from './evaluation.ts'
import type { FlowReadings } from './flow/flow-of-run.ts'
import type { AnyFormula } from './formula.ts'
import type { LevelReading } from './level/list.ts'
import type { PowerReadings } from './power/list.ts'
import { QUANTITY_IDS, type QuantityId } from './quantities.ts'
import type { Run, Sheet } from './sheet.ts'
import { traceQuantity } from './trace.ts'

export type FormulaInputs = Readonly<Record<string, number | readonly number[]>>

/** A partial derivative as declared, and the central difference that it must match. */
interface PartialCheck {
  /** Name of the input; `name[2]` for a place in a list. */
  readonly input: string
  readonly declared: number
  readonly difference: number
  /** True if they differ by no more than 1e-6 of the difference and what rounding of the value leaves in it. */
  readonly matches: boolean
}

const TOLERANCE = 1e-6
const STEP = 1e-6
/** A value is rounded to 2⁻⁵³ of itself; a formula of a few operations to some of that. */
const ROUNDING = 4 * Number.EPSILON

/**
 * Every partial derivative of a formula beside its central difference, (f(x + h) − f(x − h)) ÷ 2h with h = 1e-6·|x|.
 *
 * @param at inputs in SI; none may be zero, because the step is relative
 */
export function partialsBesideDifferences(formula: AnyFormula, at: FormulaInputs): PartialCheck[] {
  const declared = formula.partials(at)
  const value = formula.value(at)
  const checks: PartialCheck[] = []
  const check = (input: string, x: number, partial: number, withInput: (x: number) => FormulaInputs): void => {
    const step = STEP * Math.abs(x)
    const above = formula.value(withInput(x + step))
    const below = formula.value(withInput(x - step))
    const difference = (above - below) / (x + step - (x - step))
    const allowed =
      TOLERANCE * Math.abs(difference) + (ROUNDING * Math.max(Math.abs(value), Math.abs(x * partial))) / step
    checks.push({ input, declared: partial, difference, matches: Math.abs(partial - difference) <= allowed })
  }
  for (const [name, input] of Object.entries(at)) {
    const partial = declared[name]
    if (typeof input === 'number') check(name, input, partial as number, (x) => ({ ...at, [name]: x }))
    else
      input.forEach((x, i) => {
        check(`${name}[${i}]`, x, (partial as readonly number[])[i]!, (changed) => ({
          ...at,
          [name]: input.with(i, changed),
        }))
      })
  }
  return checks
}

/** A result that the golden corpus expects, in the unit given. */
export interface ExpectedResult {
  readonly run: number
  readonly quantity: QuantityId
  readonly value: number
  readonly unit: string
}

/** One invented visit with what must come out of it. */
export interface GoldenCase {
  readonly id: string
  readonly title: string
  /** An honest sheet raises no reject and no hold. */
  readonly honest: boolean
  readonly sheet: Sheet
  readonly context: Context
  readonly expected: {
    readonly results: readonly ExpectedResult[]
    /** gpm × ft ÷ 3960 ÷ input horsepower with the exact head. */
    readonly handCheck: number
    /** Ids of findings that sheet and context must raise. */
    readonly mustRaise: readonly string[]
    /** Ids of findings that other tests of the firm would raise: not decidable from sheet and context. */
    readonly raisedFromOtherTests: readonly string[]
  }
}

const corpus = (edition: string): URL => new URL(`../../../tests/golden/${edition}/`, import.meta.url)

/** A fresh copy of one case of the golden corpus, free to be changed. Throws where there is no such case. */
export function goldenCase(id: string, edition = '2026-1'): GoldenCase {
  return JSON.parse(readFileSync(new URL(`${id}.json`, corpus(edition)), 'utf8')) as GoldenCase
}

/** All cases of an edition, by id. */
export function goldenCases(edition = '2026-1'): GoldenCase[] {
  return readdirSync(corpus(edition))
    .filter((name) => name.endsWith('.json') && name !== 'hashes.json')
    .sort()
    .map((name) => goldenCase(name.slice(0, -'.json'.length), edition))
}

/** Quantities that SHEET-01 has no readings for: a booster’s, an engine’s, and those of volts and amperes. */
const OF_OTHER_SHEETS: ReadonlySet<QuantityId> = new Set<QuantityId>([
  'comparison-flow',
  'flow-difference',
  'growers-meter-flow',
  'growers-meter-error',
  'suction-head',
  'suction-velocity-head',
  'panel-power',
  'voltage-unbalance',
  'current-unbalance',
  'standing-level-trend',
  'recovery',
  'column-friction',
  'bowl-head',
  'power-factor',
  'fuel-rate',
  'gas-rate',
  'pump-shaft-power',
  'pump-efficiency',
  'fuel-per-volume',
  'gas-per-volume',
  'water-work-per-fuel',
  'water-work-per-gas',
])
export const QUANTITIES_OF_SHEET_01 = QUANTITY_IDS.filter((id) => !OF_OTHER_SHEETS.has(id))

type By<Readings, Method> = Extract<Readings, { readonly method: Method }>

/** Flow readings of a run, by the method that a test expects. Throws for another method or none. */
export function flowBy<const M extends FlowReadings['method']>(run: Run | undefined, method: M): By<FlowReadings, M> {
  if (run?.flow?.method !== method) throw new Error(`the run has no flow by ${method}`)
  return run.flow as By<FlowReadings, M>
}

/** A level read by sounder. Throws for another method or none. */
export function sounded(level: LevelReading | undefined): By<LevelReading, 'electric-sounder'> {
  if (level?.method !== 'electric-sounder') throw new Error('the level was not read by sounder')
  return level
}

/** Power readings of a run, by the method that a test expects. Throws for another method or none. */
export function powerBy<const M extends PowerReadings['method']>(
  run: Run | undefined,
  method: M,
): By<PowerReadings, M> {
  if (run?.power?.method !== method) throw new Error(`the run has no power by ${method}`)
  return run.power as By<PowerReadings, M>
}

/** A visit like SHEET-01 of the corpus, with something about it changed. */
interface ChangedVisit {
  readonly evaluation: Evaluation
  /** A result of the first run, or of another. Throws where it was not computed or is withheld. */
  result(quantity: QuantityId, run?: number): Result
  trace(quantity: QuantityId, run?: number): Trace
}

/** Evaluates SHEET-01 after a change of its sheet or context under the latest edition. */
export function changedVisit(change: (sheet: Sheet, context: Context) => void = () => {}): ChangedVisit {
  const { sheet, context } = goldenCase('SHEET-01')
  change(sheet, context)
  const evaluation = evaluate(sheet, context, latestEdition)
  return {
    evaluation,
    result(quantity, run = 0) {
      const found = evaluation.results.find((result) => result.quantity === quantity && result.run === run)
      if (found === undefined) throw new Error(`no result for ${quantity} of run ${run}`)
      return found
    },
    trace(quantity, run = 0) {
      const trace = traceQuantity(sheet, context, latestEdition, { quantity, run })
      if (trace === undefined) throw new Error(`no trace of ${quantity} of run ${run}`)
      return trace
    },
  }
}

const squared = (x: number): number => x * x

/** Standard uncertainty that components at a place (or whose id matches) contribute to a traced quantity, in SI. */
export function contribution({ components }: Trace, matching: string | RegExp): number {
  const chosen = components.filter(({ place, id }) =>
    typeof matching === 'string' ? place === matching : matching.test(id),
  )
  return Math.sqrt(chosen.reduce((sum, c) => sum + squared(c.sensitivity * c.standardUncertainty), 0))
}

/** JSON Pointers of everything in a value that JSON can't carry: NaN, infinities, undefined. */
export function notJson(value: unknown, pointer = ''): string[] {
  if (value === undefined || (typeof value === 'number' && !Number.isFinite(value))) return [`${pointer} is ${value}`]
  if (value === null || typeof value !== 'object') return []
  return Object.entries(value).flatMap(([name, member]) => notJson(member, `${pointer}/${name}`))
}

/** What a JSON Pointer (RFC 6901) leads to; undefined where it leads nowhere. */
export function atPointer(document: unknown, pointer: string): unknown {
  let here = document
  for (const step of pointer.split('/').slice(1)) {
    if (here === null || typeof here !== 'object') return undefined
    here = (here as Record<string, unknown>)[step.replaceAll('~1', '/').replaceAll('~0', '~')]
  }
  return here
}
