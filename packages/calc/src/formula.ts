/**
 * A formula is declared once: inputs, value, partial derivatives, expression, published source.
 * From that one declaration come the value, the trace, the uncertainty and the documentation.
 */

/** How a source was used: read in a copy, remembered, derived here, custom of the trade, or judged by us. */
export type Basis = 'looked up' | 'from memory' | 'derived' | 'common practice' | 'our judgement'

export interface Source {
  readonly document: string
  readonly place: string
  readonly basis: Basis
}

/** SI unit of each input; a unit in brackets is a list of values of that unit. */
export type Inputs = Readonly<Record<string, string | readonly [string]>>

type InputValues<I extends Inputs> = {
  readonly [K in keyof I]: I[K] extends string ? number : readonly number[]
}

/** What a formula declares. */
interface FormulaDeclaration<I extends Inputs = Inputs> {
  /** Same as the file’s name; also the id in traces and documentation. */
  readonly id: string
  readonly title: string
  /** SI unit of the value. */
  readonly unit: string
  readonly inputs: I
  /** The formula as a person writes it. */
  readonly expression: string
  readonly source: Source
  /** Of each input its symbol in the expression, and what it is in words. */
  readonly symbols?: Readonly<{ [K in keyof I]: readonly [symbol: string, means: string] }>
  /** Where the formula holds, in a sentence; everywhere if absent. */
  readonly validity?: string
  readonly value: (inputs: InputValues<I>) => number
  /** Partial derivative of the value with respect to each input; a list for a list. */
  readonly partials: (inputs: InputValues<I>) => InputValues<I>
}

/** A declared formula, bound: the names of its inputs and one argument object that is filled again and again. */
export interface Formula<I extends Inputs = Inputs> extends FormulaDeclaration<I> {
  readonly names: readonly string[]
  readonly scratch: Record<string, number | readonly number[]>
}

/** A formula with the names of its inputs forgotten, as lists and the graph hold it. */
export interface AnyFormula extends Omit<Formula, 'value' | 'partials'> {
  readonly value: (inputs: Readonly<Record<string, number | readonly number[]>>) => number
  readonly partials: (
    inputs: Readonly<Record<string, number | readonly number[]>>,
  ) => Readonly<Record<string, number | readonly number[]>>
}

/** Declares a formula. The type of the declaration carries the names of its inputs. */
export function defineFormula<const I extends Inputs>(declaration: FormulaDeclaration<I>): Formula<I> {
  const names = Object.keys(declaration.inputs)
  return { ...declaration, names, scratch: Object.fromEntries(names.map((name) => [name, 0])) }
}
