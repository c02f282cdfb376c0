/** Small parts that every rule is written with. */
import { type Static, Type } from 'typebox'

export const code = (description: string) =>
  Type.String({ pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$', minLength: 1, maxLength: 40, description })

export const Day = (description: string) =>
  Type.String({ format: 'date', minLength: 10, maxLength: 10, description: `${description} YYYY-MM-DD.` })

/** A name that no fact has is found by the checks, which say what there is. */
export const factName = (description: string) =>
  Type.String({ pattern: '^[A-Za-z][A-Za-z.]{0,59}$', minLength: 1, maxLength: 60, description })

export const Measured = Type.Object(
  {
    value: Type.Number({ description: 'Value in `unit`.' }),
    unit: Type.String({ minLength: 1, maxLength: 20, description: 'Unit.' }),
  },
  { title: 'RuleBound', description: 'A value with its unit.', additionalProperties: false },
)

/** A bare number for counts, days and diameters; a value with its unit for what is measured. */
export const Bound = (description: string) =>
  Type.Union([Type.Number({ description: 'A count, days, diameters or a ratio.' }), Measured], { description })
export type Bound = number | Static<typeof Measured>

const Span = Type.Object(
  {
    from: Type.Optional(Bound('Not less than this.')),
    to: Type.Optional(Bound('Not more than this.')),
    below: Type.Optional(Bound('Less than this.')),
    atLeast: Type.Optional(Bound('Not less than this.')),
    atMost: Type.Optional(Bound('Not more than this.')),
  },
  { title: 'RuleSpan', description: 'Where a value must lie.', additionalProperties: false },
)
export type Span = Static<typeof Span>

/** Conditions by fact; all of them must hold. */
export const When = (description: string) =>
  Type.Record(
    Type.String({ pattern: '^[A-Za-z][A-Za-z.]{0,59}$', maxLength: 60 }),
    Type.Union(
      [
        code('The fact is this code.'),
        Type.Array(code('A code.'), { maxItems: 50, description: 'The fact is one of these codes.' }),
        Span,
      ],
      {
        description: 'What the fact must be.',
      },
    ),
    { maxProperties: 10, description },
  )
export type When = Static<ReturnType<typeof When>>
