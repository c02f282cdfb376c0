/** The registry on the wire: firms, programs, plants, testers, instruments. */
import { Certificate, Equipment, EquipmentFacts, InstrumentFacts, PLANT_KINDS, Qualification } from '@liftledger/calc'
import { type Static, type TSchema, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

export const part = { additionalProperties: false }
const Name = (description: string) => Type.String({ minLength: 1, maxLength: 200, description })
export const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
export const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })
export const Code = (description: string) =>
  Type.String({ pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$', minLength: 1, maxLength: 40, description })
/** Null removes the member (RFC 7396). */
const orNull = <S extends TSchema>(schema: S) => Type.Unsafe<Static<S> | null>({ ...schema, type: ['string', 'null'] })
const createdAt = Moment('When it was registered.')

export const FirmToRegister = Type.Object(
  { name: Name('Name of the firm.') },
  { title: 'FirmToRegister', description: 'A firm that tests pumping plants.', ...part },
)
export const Firm = Type.Object(
  { id: Id('firm', 'Id of the firm.'), name: Name('Name of the firm.'), createdAt },
  { title: 'Firm', description: 'A firm that tests pumping plants.', ...part },
)
export type Firm = Static<typeof Firm>
export const FirmPage = Page('FirmPage', Firm)

export const FirmPatch = Type.Object(
  { name: Type.Optional(Name('New name of the firm.')) },
  { title: 'FirmPatch', description: 'What to change of a firm; what is left out stays.', ...part },
)

export const ProgramToRegister = Type.Object(
  { name: Name('Name of the program.') },
  { title: 'ProgramToRegister', description: 'A program that pays for tests or repairs.', ...part },
)
export const Program = Type.Object(
  { id: Id('program', 'Id of the program.'), name: Name('Name of the program.'), createdAt },
  { title: 'Program', description: 'A program that pays for tests or repairs.', ...part },
)
export type Program = Static<typeof Program>
export const ProgramPage = Page('ProgramPage', Program)
export const ProgramPatch = Type.Object(
  { name: Type.Optional(Name('New name of the program.')) },
  { title: 'ProgramPatch', description: 'What to change of a program; what is left out stays.', ...part },
)

export const EquipmentToRecord = Type.Object(
  { effectiveFrom: Day('First day on which this equipment was in place.'), ...EquipmentFacts },
  {
    title: 'EquipmentToRecord',
    description: 'What stays in place at a plant between visits, from a day on. What is not known is left out.',
    ...part,
  },
)
export type EquipmentToRecord = Static<typeof EquipmentToRecord>
export const EquipmentPage = Page('EquipmentPage', Equipment)

const Reference = Type.String({
  minLength: 1,
  maxLength: 80,
  description:
    'The firm’s own name or number for the plant: best the customer’s number in its books. Public statistics count plants of one reference as one customer’s.',
})
const plantFacts = {
  code: Code('Code of the plant, as painted at the plant; one for all firms and programs.'),
  kind: Type.Enum([...PLANT_KINDS], { description: 'Kind of plant.' }),
  region: Type.Optional(Code('Code of the region.')),
  reference: Type.Optional(Reference),
}

export const PlantToRegister = Type.Object(
  { ...plantFacts, equipment: Type.Optional(EquipmentToRecord) },
  { title: 'PlantToRegister', description: 'A pumping plant that nobody has registered yet.', ...part },
)
export type PlantToRegister = Static<typeof PlantToRegister>
export const Plant = Type.Object(
  { id: Id('plant', 'Id of the plant.'), ...plantFacts, createdAt },
  { title: 'Plant', description: 'A pumping plant, known to all its firms and programs by one code.', ...part },
)
export type Plant = Static<typeof Plant>
export const PlantPage = Page('PlantPage', Plant)
export const PlantPatch = Type.Object(
  {
    region: Type.Optional(orNull(Code('Code of the region; null removes it. One for all firms.'))),
    reference: Type.Optional(orNull(Reference)),
  },
  { title: 'PlantPatch', description: 'What to change of a plant; what is left out stays, null removes.', ...part },
)

export const PlantAccessToGrant = Type.Object(
  { firmId: Id('firm', 'Firm that gets access.') },
  { title: 'PlantAccessToGrant', description: 'Access of one more firm to a plant.', ...part },
)
export const PlantAccess = Type.Object(
  {
    plantId: Id('plant', 'Id of the plant.'),
    firmId: Id('firm', 'Firm that has access.'),
    createdAt: Moment('Since when.'),
  },
  { title: 'PlantAccess', description: 'Access of a firm to a plant.', ...part },
)
export type PlantAccess = Static<typeof PlantAccess>

export const TesterToRegister = Type.Object(
  {
    code: Code('Code of the tester within the firm; what stands on the sheet.'),
    name: Type.Optional(Name('Name of the tester: personal, may be left out, never enters a sheet or a context.')),
    qualifications: Type.Optional(
      Type.Array(Qualification, { maxItems: 20, description: 'Qualifications the tester holds.' }),
    ),
  },
  { title: 'TesterToRegister', description: 'A person who tests for the firm.', ...part },
)
export type TesterToRegister = Static<typeof TesterToRegister>
export const Tester = Type.Object(
  {
    id: Id('tester', 'Id of the tester.'),
    code: Code('Code of the tester within the firm.'),
    name: Type.Optional(Name('Name of the tester.')),
    qualifications: Type.Array(Qualification, { maxItems: 20, description: 'The newest qualifications, at most 20.' }),
    createdAt,
  },
  { title: 'Tester', description: 'A person who tests for the firm.', ...part },
)
export type Tester = Static<typeof Tester>
export const TesterPage = Page('TesterPage', Tester)
export const TesterPatch = Type.Object(
  { name: Type.Optional(orNull(Name('Name of the tester; null erases it.'))) },
  { title: 'TesterPatch', description: 'What to change of a tester; what is left out stays, null erases.', ...part },
)

const { kind: instrumentKind, ...measuring } = InstrumentFacts
const instrumentCode = Code('Code of the instrument within the firm; what stands on the sheet.')

export const InstrumentFactsToRecord = Type.Object(
  { effectiveFrom: Day('First day on which this holds.'), ...measuring },
  {
    title: 'InstrumentFactsToRecord',
    description: 'What holds of an instrument from a day on: a new certificate, say.',
    ...part,
  },
)
export type InstrumentFactsToRecord = Static<typeof InstrumentFactsToRecord>
export const InstrumentToRegister = Type.Object(
  { code: instrumentCode, kind: instrumentKind, effectiveFrom: Day('First day on which this holds.'), ...measuring },
  { title: 'InstrumentToRegister', description: 'An instrument of the firm.', ...part },
)
export type InstrumentToRegister = Static<typeof InstrumentToRegister>
export const Instrument = Type.Object(
  {
    id: Id('instrument', 'Id of the instrument.'),
    code: instrumentCode,
    kind: instrumentKind,
    revision: Type.Integer({ minimum: 1, maximum: 100_000, description: 'Number of the newest revision.' }),
    effectiveFrom: Day('First day on which it holds.'),
    ...measuring,
    createdAt,
  },
  {
    title: 'Instrument',
    description: 'An instrument of the firm, with what holds of it by its newest revision.',
    ...part,
  },
)
export type Instrument = Static<typeof Instrument>
export const InstrumentPage = Page('InstrumentPage', Instrument)
export const InstrumentPatch = Type.Object(
  { kind: Type.Optional(instrumentKind) },
  {
    title: 'InstrumentPatch',
    description: 'What to change of an instrument. What holds from a day on is recorded as a revision instead.',
    ...part,
  },
)

const checked = {
  checkedOn: Day('Day of the check.'),
  referenceValue: Type.Number({ description: 'What the reference showed, in `unit`.' }),
  shownValue: Type.Number({ description: 'What the instrument showed, in `unit`.' }),
  unit: Type.String({ minLength: 1, maxLength: 20, description: 'Unit of both.' }),
}
export const CheckToRecord = Type.Object(checked, {
  title: 'CheckToRecord',
  description: 'An instrument held against a reference in the field.',
  ...part,
})
export type CheckToRecord = Static<typeof CheckToRecord>
export const InstrumentCheck = Type.Object(
  {
    id: Id('check', 'Id of the check.'),
    ...checked,
    difference: Type.Number({ description: 'Shown less reference, in `unit`.' }),
    allowed: Type.Optional(
      Type.Number({ minimum: 0, description: 'How far it may be off by its stated accuracy, in `unit`.' }),
    ),
    revision: Type.Optional(
      Type.Integer({
        minimum: 1,
        maximum: 100_000,
        description: 'Revision of the instrument that states the accuracy.',
      }),
    ),
    outcome: Type.Enum(['within', 'outside', 'no-accuracy-stated'], {
      description: 'Whether the difference is within the accuracy that was stated for the day of the check.',
    }),
    recordedAt: Moment('When it was recorded.'),
  },
  { title: 'InstrumentCheck', description: 'A field check of an instrument, with its outcome.', ...part },
)
export type InstrumentCheck = Static<typeof InstrumentCheck>
export const InstrumentCheckPage = Page('InstrumentCheckPage', InstrumentCheck)

export { Certificate, Equipment, Qualification }
