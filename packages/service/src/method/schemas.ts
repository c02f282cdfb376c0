/** The method on the wire. */
import { METHODS_OF, SEVERITIES } from '@liftledger/calc'
import { type TProperties, Type } from 'typebox'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
const Text = (maxLength: number, description: string) => Type.String({ maxLength, description })
const Name = (description: string) => Text(80, description)
const Path = (description: string) => Text(200, description)
const Unit = (description: string) => Text(20, description)
const list = <T extends Parameters<typeof Type.Array>[0]>(item: T, description: string) =>
  Type.Array(item, { maxItems: 2_000, description })

const MethodSource = part('MethodSource', 'Where it is published, and how it was used.', {
  document: Text(200, 'Document.'),
  place: Text(200, 'Place in the document.'),
  basis: Type.Enum(['looked up', 'from memory', 'derived', 'common practice', 'our judgement'], {
    description: 'Read in a copy, remembered, derived, custom of the trade, or judged by the authors of the method.',
  }),
})
const Linked = part('MethodLink', 'Something else of the method.', {
  id: Name('Its id.'),
  href: Path('Where to read it.'),
})
export const linkTo =
  (kind: 'formulas' | 'quantities' | 'methods' | 'findings' | 'cautions') =>
  (id: string): { id: string; href: string } => ({ id, href: `/v1/method/${kind}/${id}` })

const FormulaInput = part('FormulaInput', 'An input of a formula.', {
  name: Name('Name, as in traces.'),
  symbol: Text(20, 'In the expression.'),
  means: Text(200, 'What it is.'),
  unit: Unit('SI unit.'),
  list: Type.Boolean({ description: 'Whether it is a list of values of that unit.' }),
})
export const MethodFormula = part('MethodFormula', 'A formula of the method.', {
  id: Name('Id, as in traces.'),
  title: Text(120, 'What it gives.'),
  expression: Text(200, 'As a person writes it.'),
  unit: Unit('SI unit of its value.'),
  inputs: list(FormulaInput, 'What it is made of.'),
  validity: Type.Optional(Text(400, 'Where it holds; everywhere if absent.')),
  source: MethodSource,
  usedBy: list(Linked, 'Ways to measure that use it by name.'),
})
export const MethodQuantity = part('MethodQuantity', 'A quantity that is reported.', {
  id: Name('Id, as in results.'),
  title: Text(120, 'In words.'),
  unit: Unit('SI unit.'),
  us: Unit('Unit shown to readers of US customary units.'),
  metric: Unit('Unit shown to readers of metric units.'),
  formulas: list(Linked, 'Formulas it may come from; none where it is read itself.'),
})
const AcceptedUnit = part('AcceptedUnit', 'A unit that readings may have.', {
  symbol: Unit('As the trade writes it.'),
  ucum: Type.Optional(Text(40, 'Its code in the Unified Code for Units of Measure, accepted as well.')),
  factor: Type.Number({ description: 'Ratio of its size to the SI unit.' }),
  offset: Type.Optional(
    Type.Number({ description: 'Added, in units of its own, before the ratio is applied; of temperatures only.' }),
  ),
})
export const MethodDimension = part('MethodDimension', 'What can be read, and its units.', {
  dimension: Name('What is measured.'),
  si: Unit('SI unit in which it is computed.'),
  units: list(AcceptedUnit, 'Units that a sheet may use.'),
})
export const MethodOfMeasuring = part('MethodOfMeasuring', 'A way to measure flow, level or power.', {
  id: Name('Id, as `method` of the sheet.'),
  of: Type.Enum([...METHODS_OF], { description: 'What it measures.' }),
  title: Text(120, 'In words.'),
  formulas: list(Linked, 'Formulas it uses.'),
  source: MethodSource,
  cautions: list(Linked, 'What can hurt, to be shown beside it.'),
})
export const MethodFinding = part('MethodFinding', 'A finding of the catalogue.', {
  id: Name('Id.'),
  group: Name('What it is about.'),
  severity: Type.Enum([...SEVERITIES], { description: 'How grave it is.' }),
  place: Text(200, 'JSON Pointer into the sheet; `*` stands for the run, empty is the whole sheet.'),
  decidedFrom: Name('`sheet` alone, also the `context`, or the `record`: other tests beside this one.'),
  rule: Text(400, 'When it is raised.'),
  why: Text(600, 'Why it matters.'),
  remedy: Text(600, 'What to do.'),
  limits: list(Name('Limit of the edition.'), 'Limits it compares with, by their name in the edition.'),
  withholds: list(Linked, 'Quantities that are not reported while it stands.'),
  cautions: list(Linked, 'What can hurt where its remedy is carried out, to be shown beside it.'),
  absenceOf: Type.Optional(
    Name('Name in `leftOut` of the reading it asks for; left out with a reason it is a caution at most.'),
  ),
  source: MethodSource,
})
export const MethodCaution = part('MethodCaution', 'What can hurt. It warns and does not instruct.', {
  id: Name('Id.'),
  title: Text(120, 'In few words.'),
  text: Text(1_000, 'What a reader must see. Law, local codes and licensed practice come first.'),
})
const EditionAmount = part('EditionAmount', 'A number of an edition.', {
  name: Name('Name.'),
  title: Text(200, 'What it is.'),
  value: Type.Number({ description: 'In `unit`.' }),
  unit: Unit('Unit.'),
  shape: Type.Optional(
    Name('How it becomes a standard uncertainty: `standard`, `rectangular`, `step` or `interval-95`.'),
  ),
  source: MethodSource,
})
export const MethodEdition = part('MethodEdition', 'A frozen, dated version of the method.', {
  id: Name('Id.'),
  inForceFrom: Type.String({ format: 'date', maxLength: 10, description: 'First day on which it may be used.' }),
  settings: list(
    part('EditionSetting', 'A choice of the edition.', {
      name: Name('Name, with its unit at the end where it has one.'),
      value: Text(40, 'Its value, as text.'),
    }),
    'Choices another edition may make otherwise.',
  ),
  defaults: list(EditionAmount, 'Uncertainties where no certificate says better.'),
  limits: list(EditionAmount, 'Limits of findings.'),
  findings: list(Linked, 'Findings in force.'),
})
