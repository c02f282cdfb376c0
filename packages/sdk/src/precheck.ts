/**
 * The entry "./precheck": the service's own calculation, on the spot and without signal.
 *
 * Same sheet, context and edition give the same figures to the last bit. What it can't know is what depends on
 * other tests: findings that compare with the plant's history are the service's.
 */
import {
  Context,
  editionById,
  editions,
  evaluate,
  latestEdition,
  type MethodEdition,
  Sheet,
  sheetProblems,
  traceQuantity,
} from '@liftledger/calc'
import type { TSchema } from 'typebox'
import { LiftledgerError, type ProblemItem } from './errors.ts'
import { shapeProblems } from './shape.ts'

export { type Context, type Evaluation, editions, type Sheet, type Trace } from '@liftledger/calc'

export interface PrecheckOptions {
  /** Id of the method edition, for example `2026-1`; the newest if absent. */
  readonly edition?: string
}

export interface TraceOptions extends PrecheckOptions {
  /** For example `overall-plant-efficiency`. */
  readonly quantity: Parameters<typeof traceQuantity>[3]['quantity']
  /** Index of the run; the first if absent. */
  readonly run?: number
}

/** The sheet or the context has the wrong shape; the service would refuse it for the same reasons. */
export class ShapeError extends LiftledgerError {
  override readonly name = 'ShapeError'
  /** Places that need attention, each with a JSON Pointer. */
  readonly errors: readonly ProblemItem[]

  constructor(document: 'sheet' | 'context', errors: readonly ProblemItem[]) {
    const places = errors.map(({ pointer, message }) => `\n  ${pointer || document}: ${message}`)
    super(`the ${document} has the wrong shape${places.join('')}`, { operation: 'precheck', tries: 0 })
    this.errors = errors
  }
}

/**
 * Results with uncertainty, findings and advice, as `client.tests.submit` would answer them.
 *
 * @throws ShapeError if sheet or context has the wrong shape; TypeError if there is no such edition.
 */
export function precheck(sheet: Sheet, context: Context, options: PrecheckOptions = {}): ReturnType<typeof evaluate> {
  checkShape(sheet, context)
  return evaluate(sheet, context, chosenEdition(options.edition))
}

/**
 * How one quantity of a run follows from the readings; undefined where they don't allow it.
 *
 * @throws as {@link precheck}
 */
export function trace(sheet: Sheet, context: Context, options: TraceOptions): ReturnType<typeof traceQuantity> {
  checkShape(sheet, context)
  const { quantity, run = 0 } = options
  return traceQuantity(sheet, context, chosenEdition(options.edition), { quantity, run })
}

function checkShape(sheet: Sheet, context: Context): void {
  refuse('sheet', shapeProblems(Sheet as TSchema, sheet))
  refuse('context', shapeProblems(Context as TSchema, context))
  // Asked only of a sheet whose members are what they should be.
  const combinations = sheetProblems(sheet).map(({ pointer, message, allowed }): ProblemItem => {
    const item = { pointer, code: 'wrong-shape', message } as const
    return allowed === undefined ? item : { ...item, allowed: [...allowed] }
  })
  refuse('sheet', combinations)
}

function refuse(document: 'sheet' | 'context', errors: readonly ProblemItem[]): void {
  if (errors.length > 0) throw new ShapeError(document, errors)
}

function chosenEdition(id: string | undefined): MethodEdition {
  const edition = id === undefined ? latestEdition : editionById(id)
  if (edition !== undefined) return edition
  throw new TypeError(`There is no method edition '${id}'; there is ${editions.map((one) => one.id).join(', ')}.`)
}
