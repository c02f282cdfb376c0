/** Tests given to programs, on the wire. */
import { type Static, Type } from 'typebox'
import { GrowerConsent } from '../http/consent.ts'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = { additionalProperties: false }
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })

export const TestToGive = Type.Object(
  { programId: Id('program', 'Program that the test is given to.'), consent: GrowerConsent },
  { title: 'TestToGive', description: 'A program gets to see a test, with the grower’s consent.', ...part },
)

export const ProgramTurn = Type.Object(
  {
    testId: Id('test', 'Id of the test.'),
    programId: Id('program', 'Id of the program.'),
    turn: Type.Integer({ minimum: 1, maximum: 1000, description: 'Odd turns give, even ones take back.' }),
    consent: Type.Enum(['given', 'withdrawn'], {
      description: 'What the grower said. The last turn of a program is what counts.',
    }),
    saidAt: Moment('When the grower said so.'),
    evidence: Type.Optional(
      Type.String({ maxLength: 40, description: 'Number under which the firm keeps what shows the consent.' }),
    ),
    recordedAt: Moment('When it was recorded.'),
  },
  { title: 'ProgramTurn', description: 'A test given to a program, or taken back.', ...part },
)
export type ProgramTurn = Static<typeof ProgramTurn>
export const ProgramTurnPage = Page('ProgramTurnPage', ProgramTurn)
