/** Tests given to programs, on the wire. */
import { type Static, Type } from 'typebox'
import { consentTurn, GrowerConsent } from '../http/consent.ts'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = { additionalProperties: false }

export const TestToGive = Type.Object(
  { programId: Id('program', 'Program that the test is given to.'), consent: GrowerConsent },
  { title: 'TestToGive', description: 'A program gets to see a test, with the grower’s consent.', ...part },
)

export const ProgramTurn = Type.Object(
  {
    testId: Id('test', 'Id of the test.'),
    programId: Id('program', 'Id of the program.'),
    ...consentTurn('program'),
  },
  { title: 'ProgramTurn', description: 'A test given to a program, or taken back.', ...part },
)
export type ProgramTurn = Static<typeof ProgramTurn>
export const ProgramTurnPage = Page('ProgramTurnPage', ProgramTurn)
