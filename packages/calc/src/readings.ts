/** The pieces a sheet is made of: a number with its unit, a code, a time. */
import { type Static, type TUnsafe, Type } from 'typebox'
import { CODE_PATTERN } from './pattern-phrases.ts'
import { acceptedUnits, type Dimension, type UnitSpelling } from './units.ts'

/** A code given by the firm, the program or the plant: letters, digits and `. _ -`; never a name or a sentence. */
export const Code = (description: string) =>
  Type.String({ pattern: `^${CODE_PATTERN}$`, minLength: 1, maxLength: 40, description })

/** A moment with its offset from UTC (RFC 3339), seconds required. */
export const Instant = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })

/** A calendar date (RFC 3339 full-date). */
export const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })

/**
 * Name of a reading in the API description. The comment says what all readings of that name have in common, where
 * the description says what one of them is.
 */
const named = (dimension: Dimension, suffix: string, what: string) => {
  const words = dimension.split('-')
  const title = `${words.map((word) => word.charAt(0).toUpperCase() + word.slice(1)).join('')}${suffix}`
  const comma = what.startsWith('that') ? '' : ','
  return { title, $comment: `A reading of ${words.join(' ')}${comma} ${what}.` }
}

const unitOf = <const D extends Dimension>(dimension: D): TUnsafe<UnitSpelling<D>> =>
  Type.Unsafe<UnitSpelling<D>>({
    type: 'string',
    enum: acceptedUnits(dimension),
    description: `Unit of ${dimension.replaceAll('-', ' ')}.`,
  })

const optional = {
  at: Type.Optional(Instant('When it was read.')),
  instrument: Type.Optional(Code('Code of the instrument, where it is another than the one named for this use.')),
}

/** One value as the instrument showed it. */
export const reading = <const D extends Dimension>(dimension: D, description: string) =>
  Type.Object(
    { value: Type.Number({ description: 'What the instrument showed.' }), unit: unitOf(dimension), ...optional },
    { ...named(dimension, 'Reading', 'as the instrument showed it'), description, additionalProperties: false },
  )

/** One value that can't be zero or negative: a diameter, a duration, a constant. */
export const positiveReading = <const D extends Dimension>(dimension: D, description: string) =>
  Type.Object(
    {
      value: Type.Number({ exclusiveMinimum: 0, description: 'What was read; more than zero.' }),
      unit: unitOf(dimension),
      ...optional,
    },
    { ...named(dimension, 'ReadingAboveZero', 'more than zero'), description, additionalProperties: false },
  )

/** Distance between two readings: never negative. `name` is its title. */
export const widthReading = <const D extends Dimension>(dimension: D, name: string, description: string) =>
  Type.Object(
    {
      value: Type.Number({ minimum: 0, description: 'Width of the swing.' }),
      unit: unitOf(dimension),
      ...optional,
    },
    { title: name, description, additionalProperties: false },
  )

/**
 * A fluctuating column, read as one value, as repeats, or as the lowest and highest of its swing.
 * Exactly one of the three forms; `sheetProblems` refuses any other mixture.
 */
export const SwingingReading = <const D extends Dimension>(dimension: D, description: string) =>
  Type.Object(
    {
      unit: unitOf(dimension),
      value: Type.Optional(Type.Number({ description: 'One value as read.' })),
      repeats: Type.Optional(
        Type.Array(Type.Number({ description: 'One value as read, in `unit`.' }), {
          minItems: 2,
          maxItems: 20,
          description: 'Several values read one after the other.',
        }),
      ),
      low: Type.Optional(Type.Number({ description: 'Lowest of the swing; goes with `high`.' })),
      high: Type.Optional(Type.Number({ description: 'Highest of the swing; goes with `low`.' })),
    },
    {
      ...named(dimension, 'SwingingReading', 'that swings: one value, repeats, or the lowest and highest'),
      description,
      additionalProperties: false,
    },
  )

/** A reading of any dimension, as code that works on all of them sees it. */
export interface Reading {
  readonly value: number
  readonly unit: string
  readonly at?: string
  readonly instrument?: string
}
export type SwingingReading = Static<ReturnType<typeof SwingingReading<'length'>>>
