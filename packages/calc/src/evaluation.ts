/** What comes out of an evaluation: results, findings, advice, the hand check; and the trace of one quantity. */
import { type Static, type TProperties, Type } from 'typebox'
import { QUANTITY_IDS } from './quantities.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

const RunIndex = Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run.' })
const Pointer = (description: string) => Type.String({ maxLength: 200, description })
const Unit = (description: string) => Type.String({ maxLength: 20, description })
const Text = (maxLength: number, description: string) => Type.String({ maxLength, description })

export const SEVERITIES = ['reject', 'hold', 'caution', 'note'] as const
export type Severity = (typeof SEVERITIES)[number]

export const QuantityId = Type.Enum([...QUANTITY_IDS], { description: 'Id of the quantity; also its trace address.' })

export type QuantityId = Static<typeof QuantityId>

export const ShownValue = part('ShownValue', 'The result in the unit system the tester read in, unrounded.', {
  value: Type.Number({ description: 'Value in `unit`.' }),
  unit: Unit('Unit of the trade.'),
  expandedUncertainty: Type.Number({ minimum: 0, description: 'Half-width of the 95 % interval in `unit`.' }),
  decimals: Type.Integer({
    minimum: 0,
    maximum: 20,
    description: 'Decimals worth showing: two significant digits of the half-width.',
  }),
})

export const Result = part('Result', 'One computed quantity of one run.', {
  run: RunIndex,
  quantity: QuantityId,
  value: Type.Number({ description: 'Value in `unit`.' }),
  unit: Unit('SI unit.'),
  standardUncertainty: Type.Number({ minimum: 0, description: 'Combined standard uncertainty in `unit`.' }),
  expandedUncertainty: Type.Number({ minimum: 0, description: 'Half-width of the 95 % interval in `unit`.' }),
  coverageFactor: Type.Number({ minimum: 1, description: 'Ratio of expanded to standard uncertainty.' }),
  degreesOfFreedom: Type.Optional(
    Type.Integer({
      minimum: 1,
      maximum: Number.MAX_SAFE_INTEGER,
      description: 'Effective degrees of freedom; absent when unlimited.',
    }),
  ),
  shown: ShownValue,
})

export const Withheld = part('Withheld', 'A quantity that is not reported, and why.', {
  run: RunIndex,
  quantity: QuantityId,
  because: Text(80, 'Id of the finding it depends on, `reading-missing`, `not-resolved` or `too-uncertain`.'),
})

export const FindingValue = part('FindingValue', 'A value or limit that a finding compared.', {
  name: Text(60, 'Name of the quantity or limit.'),
  value: Type.Number({ description: 'Value in `unit`.' }),
  unit: Unit('Unit.'),
})

export const Finding = part('Finding', 'A validation outcome.', {
  id: Text(80, 'Id in the findings catalogue.'),
  severity: Type.Enum([...SEVERITIES], {
    description:
      '`reject`: unusable. `hold`: a person must decide. `caution`: usable with care. `note`: for information.',
  }),
  run: Type.Optional(RunIndex),
  place: Pointer('JSON Pointer into the sheet.'),
  message: Text(600, 'What was read and what was expected.'),
  remedy: Text(600, 'What to do.'),
  values: Type.Array(FindingValue, { maxItems: 20, description: 'Values the finding used.' }),
  limits: Type.Array(FindingValue, { maxItems: 10, description: 'Limits of the edition it compared with.' }),
})

export const SOUNDNESS = ['sound', 'in-question', 'unsound'] as const

export const Advice = part('Advice', 'One source of uncertainty of overall plant efficiency, largest first.', {
  run: RunIndex,
  place: Pointer('What it comes from: JSON Pointer into the sheet, `instrument/{code}` or `edition/{name}`.'),
  label: Text(120, 'The source in words.'),
  shareOfVariance: Type.Number({
    minimum: 0,
    maximum: 1,
    description: 'Share of the variance of overall plant efficiency.',
  }),
  action: Type.Enum(['repeat', 'certify', 'better-instrument', 'measure'], {
    description:
      '`repeat` the reading; `certify` the instrument; take a `better-instrument`; `measure` what a default stood in for.',
  }),
  needsQualifiedStaff: Type.Optional(
    Type.Literal(true, { description: 'It is an electrical reading in a panel: for qualified staff only.' }),
  ),
  offerFirst: Type.Optional(
    Type.Enum(['time-utility-meter'], {
      description: 'What anyone may do instead, from outside: offered before an electrical reading in a panel.',
    }),
  ),
  relativeUncertaintyNow: Type.Number({
    minimum: 0,
    description: 'Ratio of the expanded uncertainty of overall plant efficiency to its value.',
  }),
  relativeUncertaintyIfHalved: Type.Number({
    minimum: 0,
    description: 'The same ratio if this source were half as uncertain.',
  }),
})

export const HandStep = part('HandStep', 'One line of the trade’s shortcut arithmetic.', {
  label: Text(80, 'What is computed.'),
  expression: Text(200, 'The arithmetic with its numbers.'),
  value: Type.Number({ description: 'Outcome in `unit`.' }),
  unit: Unit('Unit.'),
})

export const HandCheck = part('HandCheck', 'The same result by calculator, to be followed in the field.', {
  run: RunIndex,
  steps: Type.Array(HandStep, { maxItems: 20, description: 'In the order in which a tester works.' }),
  overallPlantEfficiency: Type.Number({ description: 'Outcome of the steps, as a ratio.' }),
  atExactHead: Type.Number({
    description: 'The same ratio with the exact head of the same definition: gpm × ft ÷ 3960 ÷ input horsepower.',
  }),
})

export const Evaluation = part('Evaluation', 'What a method edition makes of sheet and context.', {
  edition: Text(20, 'Method edition.'),
  soundness: Type.Enum([...SOUNDNESS], { description: 'What the findings make of the test.' }),
  results: Type.Array(Result, { maxItems: 600, description: 'Computed quantities, run by run.' }),
  withheld: Type.Array(Withheld, { maxItems: 600, description: 'Quantities computed but not reported.' }),
  findings: Type.Array(Finding, { maxItems: 500, description: 'Gravest first.' }),
  advice: Type.Array(Advice, { maxItems: 200, description: 'What to re-measure first.' }),
  handChecks: Type.Array(HandCheck, { maxItems: 20, description: 'One for each run that allows it.' }),
})

export const TraceInput = part('TraceInput', 'An input of a formula.', {
  name: Text(60, 'Name in the expression.'),
  node: Type.Integer({ minimum: 0, maximum: 5000, description: 'Index of the node that gives it.' }),
})

export const TraceSource = part('TraceSource', 'Where a formula, a default or an accuracy is published.', {
  document: Text(200, 'Document.'),
  place: Text(200, 'Place in the document.'),
  basis: Type.Enum(['looked up', 'from memory', 'derived', 'common practice', 'our judgement'], {
    description: 'How the source was used.',
  }),
})

export const TraceReading = part('TraceReading', 'The raw reading a node stands for.', {
  place: Pointer(
    'JSON Pointer into the raw sheet, `plant/…` for the record of the plant, or `edition/{name}` for a default.',
  ),
  value: Type.Number({ description: 'As read.' }),
  unit: Unit('As read.'),
  sensitivity: Type.Number({
    description: 'Change of the traced quantity (its SI unit) for one `unit` more of this reading.',
  }),
})

export const TraceNode = part('TraceNode', 'One step of the derivation.', {
  node: Type.Integer({ minimum: 0, maximum: 5000, description: 'Index in `nodes`.' }),
  id: Text(80, 'Id of the formula; `reading`, `record` or `default` for a leaf.'),
  title: Text(120, 'What it is.'),
  expression: Text(200, 'The formula as written in the method.'),
  source: TraceSource,
  value: Type.Number({ description: 'Value in `unit`.' }),
  unit: Unit('SI unit.'),
  sensitivity: Type.Number({ description: 'Partial derivative of the traced quantity with respect to this node.' }),
  inputs: Type.Array(TraceInput, { maxItems: 200, description: 'Where each input comes from.' }),
  reading: Type.Optional(TraceReading),
})

export const TraceComponent = part(
  'TraceComponent',
  'One cause of uncertainty: a component of a reading, or an error common to an instrument.',
  {
    id: Text(160, 'What it is; one id for every reading that shares it.'),
    label: Text(160, 'In words.'),
    place: Pointer('JSON Pointer into the sheet, `instrument/{code}` or `edition/{name}`.'),
    source: TraceSource,
    standardUncertainty: Type.Number({ minimum: 0, description: 'In `unit`.' }),
    unit: Unit('SI unit.'),
    degreesOfFreedom: Type.Optional(Type.Number({ minimum: 1, description: 'Absent when unlimited.' })),
    sensitivity: Type.Number({ description: 'Partial derivative of the traced quantity.' }),
    shareOfVariance: Type.Number({
      minimum: 0,
      maximum: 1,
      description: 'Share of the variance of the traced quantity.',
    }),
    nodes: Type.Array(Type.Integer({ minimum: 0, maximum: 5000, description: 'Index in `nodes`.' }), {
      maxItems: 500,
      description: 'Nodes it acts on.',
    }),
  },
)

export const Trace = part(
  'Trace',
  'How one quantity follows from readings. Node 0 is the quantity; inputs come after what uses them.',
  {
    edition: Text(20, 'Method edition.'),
    quantity: QuantityId,
    run: RunIndex,
    value: Type.Number({ description: 'Value in `unit`.' }),
    unit: Unit('SI unit.'),
    standardUncertainty: Type.Number({ minimum: 0, description: 'In `unit`.' }),
    nodes: Type.Array(TraceNode, { maxItems: 5000, description: 'Derivation, from the quantity down to readings.' }),
    components: Type.Array(TraceComponent, {
      maxItems: 5000,
      description: 'Budget of uncertainty, largest share first; shares add up to one.',
    }),
  },
)

export type Result = Static<typeof Result>
export type Withheld = Static<typeof Withheld>
export type Finding = Static<typeof Finding>
export type Advice = Static<typeof Advice>
export type HandCheck = Static<typeof HandCheck>
export type Evaluation = Static<typeof Evaluation>
export type Trace = Static<typeof Trace>
export type TraceNode = Static<typeof TraceNode>
export type TraceComponent = Static<typeof TraceComponent>
export type TraceSource = Static<typeof TraceSource>
