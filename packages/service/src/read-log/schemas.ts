/** Shapes of the read log on the wire. */
import { type Static, Type } from 'typebox'
import { Id } from '../http/ids.ts'
import { ROLES } from '../http/principal.ts'

const Time = (description: string) => Type.String({ format: 'date-time', maxLength: 30, description })
const Whole = (minimum: number, description: string) =>
  Type.Integer({ minimum, maximum: Number.MAX_SAFE_INTEGER, description })
const Root = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })

export const LoggedRead = Type.Object(
  {
    place: Whole(0, 'Place among all reads, in the order in which they were written down.'),
    hour: Time('Begin of the hour it belongs to, in UTC: that of `at`, or the one after where that was closed.'),
    at: Time('When it was answered.'),
    key: Type.String({ maxLength: 40, description: 'Id of the key that asked, or of the principal of a token.' }),
    role: Type.Enum([...ROLES], { description: 'Role of the key.' }),
    firm: Type.Optional(Id('firm', 'Firm that the key speaks for.')),
    program: Type.Optional(Id('program', 'Program that the key speaks for.')),
    operation: Type.String({ maxLength: 81, description: 'What was asked, by operationId.' }),
    test: Type.Optional(Id('test', 'The test that was read.')),
    plant: Type.Optional(Id('plant', 'The plant whose tests were read.')),
    filter: Type.Optional(
      Type.String({
        maxLength: 1_000,
        description: 'What a list was filtered by, as canonical JSON; `{}` for all of it.',
      }),
    ),
    count: Type.Optional(Whole(0, 'Items of the list that were answered.')),
    request: Type.String({ maxLength: 64, description: 'Id of the request.' }),
  },
  {
    title: 'LoggedRead',
    description:
      'One read of test data. As canonical JSON (RFC 8785) it is a leaf of the tree of its hour: SHA-256 over a zero byte and the text.',
    additionalProperties: false,
  },
)
export type LoggedRead = Static<typeof LoggedRead>

export const OUTCOMES = ['same', 'differs', 'not-recorded', 'no-reads'] as const

const RecordedReads = Type.Object(
  {
    index: Whole(0, 'Index of the entry in the ledger, to prove with `/v1/ledger/proofs/inclusion`.'),
    at: Time('When the hour was closed.'),
    count: Whole(1, 'Rows of the hour.'),
    first: Whole(0, 'Place of the first of them; the rows of the hour recorded before end there.'),
    root: Root('Root of the tree over them.'),
  },
  { title: 'RecordedReads', description: 'What the ledger holds of an hour.', additionalProperties: false },
)

export const ReadHour = Type.Object(
  {
    hour: Time('Begin of the hour, in UTC.'),
    outcome: Type.Enum([...OUTCOMES], {
      description:
        '`same`: the rows have the root that the ledger holds. `differs`: a row was changed, added or removed since. ' +
        '`not-recorded`: the hour is not over, or its entry is still to come. `no-reads`: nothing was read, and nothing is held.',
    }),
    found: Type.Object(
      {
        count: Whole(0, 'Rows of the hour.'),
        first: Type.Optional(Whole(0, 'Place of the first of them.')),
        root: Root('Root of the tree over them (RFC 6962, 2.1).'),
      },
      { additionalProperties: false, description: 'What the rows are now.' },
    ),
    recorded: Type.Optional(RecordedReads),
  },
  {
    title: 'ReadHour',
    description: 'Whether the reads of an hour are what the ledger holds of them.',
    additionalProperties: false,
  },
)
export type ReadHour = Static<typeof ReadHour>
