/** Draws and quality visits on the wire. */
import { type Static, type TProperties, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { COMPARED } from './difference.ts'
import { WEIGHTS } from './draw.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })
const Count = (description: string) => Type.Integer({ minimum: 0, maximum: 1_000_000, description })
const Share = (description: string) => Type.Number({ minimum: 0, maximum: 1, description })
const Hash = (description: string) => Type.String({ pattern: '^[0-9a-f]{64}$', maxLength: 64, description })
const Person = (description: string) => Type.String({ maxLength: 40, description })

export const drawId = Id('quality draw', 'Id of the draw.')
export const visitId = Id('quality visit', 'Id of the visit.')

export const DrawToAnnounce = part('DrawToAnnounce', 'Which tests may be drawn, and how many of them.', {
  testedFrom: Day('First day of the tests that are considered.'),
  testedUntil: Day('Last day of the tests that are considered.'),
  shareAtRandom: Share('Share of these tests drawn alike, whatever is known of them.'),
  shareByWeight: Share('Share drawn by weight: early tests of a tester, held up, with a caution, uncertain ones more.'),
  daysToTest: Type.Integer({
    minimum: 7,
    maximum: 180,
    description: 'Days within which a firm tests again, from the day on which it is asked.',
  }),
})
export type DrawToAnnounce = Static<typeof DrawToAnnounce>

export const QualityDraw = part('QualityDraw', 'A draw of tests to be tested again by another firm.', {
  id: drawId,
  programId: Id('program', 'Id of the program.'),
  state: Type.Enum(['announced', 'drawn'], { description: '`announced`: the seed is fixed and nobody knows it.' }),
  terms: DrawToAnnounce,
  announcedBy: Person('Code of the person who announced it.'),
  announcedAt: Moment('When it was announced. Tests that came to the program later are not considered.'),
  seedSha256: Hash('SHA-256 of the seed, in the ledger since the announcement.'),
  ledgerIndex: Count('Index of the announcement in the ledger.'),
  drawnBy: Type.Optional(Person('Code of the other person, who drew it.')),
  drawnAt: Type.Optional(Moment('When it was drawn.')),
  drawnLedgerIndex: Type.Optional(Count('Index of the drawing in the ledger.')),
  seed: Type.Optional(Hash('The seed, told once it is drawn: whoever has it can draw again and gets the same.')),
  considered: Type.Optional(Count('Tests that were considered.')),
  drawnAtRandom: Type.Optional(Count('Of them, drawn alike.')),
  drawnByWeight: Type.Optional(Count('Of them, drawn by weight; one may be drawn by both.')),
  visits: Type.Optional(Count('Visits that follow.')),
})
export type QualityDraw = Static<typeof QualityDraw>
export const QualityDrawPage = Page('QualityDrawPage', QualityDraw)

export const STEPS = ['drawn', 'assigned', 'taken-back', 'tested-again', 'let-go'] as const
const STATE_WORDS =
  '`drawn`: no firm was asked yet. `assigned`: a firm is to test again. `taken-back`: that firm is not to any more. ' +
  '`tested-again`: the re-test is there. `let-go`: there will be none.'
export const LET_GO_REASONS = ['plant-changed', 'no-access', 'unsafe', 'owner-declined', 'no-other-firm'] as const

const Why = part('WhyDrawn', 'Why a test was drawn.', {
  by: Type.Enum(['at-random', 'by-weight', 'both'], { description: 'By which of the two lots.' }),
  weight: Type.Number({ minimum: 1, description: 'Its weight, as a ratio to that of a test without any reason.' }),
  reasons: Type.Array(Type.Enum(WEIGHTS.map(({ reason }) => reason)), {
    maxItems: WEIGHTS.length,
    description: `What adds to the weight. ${WEIGHTS.map(({ reason, adds, says }) => `\`${reason}\` (${adds}): ${says}.`).join(' ')}`,
  }),
})

export const QualityVisit = part('QualityVisit', 'One test that another firm is to test again.', {
  id: visitId,
  drawId,
  testId: Id('test', 'Id of the test it is about.'),
  plantId: Id('plant', 'Id of the plant.'),
  firmId: Id('firm', 'Id of the firm whose test it is.'),
  why: Why,
  state: Type.Enum([...STEPS], { description: STATE_WORDS }),
  turn: Type.Integer({ minimum: 0, maximum: 1000, description: 'Steps since it was drawn.' }),
  since: Moment('When it came into this state.'),
  assignedFirmId: Type.Optional(Id('firm', 'Id of the firm that is to test again, or did.')),
  testFrom: Type.Optional(Day('First day for the re-test.')),
  testUntil: Type.Optional(Day('Last day for the re-test.')),
  retestId: Type.Optional(Id('test', 'Id of the re-test.')),
  reason: Type.Optional(Type.Enum([...LET_GO_REASONS], { description: 'Why it was let go.' })),
})
export type QualityVisit = Static<typeof QualityVisit>
export const QualityVisitPage = Page('QualityVisitPage', QualityVisit)

export const RetestDifference = part('RetestDifference', 'One result of the test beside that of the re-test.', {
  quantity: Type.Enum([...COMPARED], { description: 'Id of the quantity.' }),
  unit: Type.String({ maxLength: 20, description: 'SI unit of what follows.' }),
  original: Type.Number({ description: 'Result of the test, in units of its own quantity.' }),
  again: Type.Number({ description: 'Result of the re-test, likewise.' }),
  difference: Type.Number({ description: 'Of the re-test less the test, likewise.' }),
  expandedUncertainty: Type.Number({
    description: 'Half-width of the 95 % interval of the difference: both tests, and what the plant may have changed.',
  }),
  plantAllowance: Type.Number({
    description:
      'What the plant itself may have changed between, as a standard uncertainty in units of its own quantity.',
  }),
  en: Type.Number({ description: 'Difference over its expanded uncertainty, the E_n number of ISO 13528.' }),
  agrees: Type.Boolean({ description: 'Whether E_n lies within 1 to either side.' }),
})

export const RetestComparison = part('RetestComparison', 'The test beside its re-test.', {
  days: Type.Integer({ minimum: -1, maximum: 40_000, description: 'Days from the test to the re-test.' }),
  differences: Type.Array(RetestDifference, { maxItems: COMPARED.length, description: 'Result by result.' }),
  remark: Type.String({ maxLength: 600, description: 'What the differences mean.' }),
})

export const QualityVisitDetail = Type.Object(
  { ...QualityVisit.properties, comparison: Type.Optional(RetestComparison) },
  {
    title: 'QualityVisitDetail',
    description: 'One visit, with the comparison once it is tested again.',
    additionalProperties: false,
  },
)
export type QualityVisitDetail = Static<typeof QualityVisitDetail>

export const VisitStep = part('VisitStep', 'What becomes of a visit.', {
  step: Type.Enum(['assigned', 'taken-back', 'tested-again', 'let-go'], { description: STATE_WORDS }),
  firmId: Type.Optional(Id('firm', 'With `assigned`: the firm that is to test again, another than tested before.')),
  testId: Type.Optional(Id('test', 'With `tested-again`: the re-test, which the firm gave to the program.')),
  reason: Type.Optional(Type.Enum([...LET_GO_REASONS], { description: 'With `let-go`: why.' })),
})
export type VisitStep = Static<typeof VisitStep>

export const QualityAssignment = part('QualityAssignment', 'A plant that a firm is asked to test again.', {
  visitId,
  programId: Id('program', 'Id of the program that asks, and that the test is to be given to.'),
  plantId: Id('plant', 'Id of the plant.'),
  state: Type.Enum(['assigned', 'taken-back', 'tested-again', 'let-go'], { description: STATE_WORDS }),
  since: Moment('Since when.'),
  testFrom: Day('First day for the test.'),
  testUntil: Day('Last day for the test.'),
  remark: Type.String({ maxLength: 400, description: 'What to mind.' }),
})
export type QualityAssignment = Static<typeof QualityAssignment>
export const QualityAssignmentPage = Page('QualityAssignmentPage', QualityAssignment)
