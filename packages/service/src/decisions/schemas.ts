/** Decisions on findings, on the wire. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = { additionalProperties: false }
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })

const about = {
  finding: Type.String({
    pattern: '^[a-z][a-z0-9-]*$',
    minLength: 1,
    maxLength: 80,
    description: 'Id of the finding.',
  }),
  run: Type.Optional(
    Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run, where the finding has one.' }),
  ),
  place: Type.String({ maxLength: 200, description: 'Place of the finding, as it is told with it.' }),
  outcome: Type.Enum(['stands', 'does-not-stand'], {
    description:
      '`stands`: what was found is right, and the test is unsound by it. `does-not-stand`: it is answered, and holds ' +
      'the test up no more.',
  }),
}

export const DecisionWords = Type.Object(
  {
    reader: Type.String({
      pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$',
      minLength: 1,
      maxLength: 40,
      description: 'Code under which the program knows who decided.',
    }),
    reason: Type.String({
      // Three words at least: a sentence, not a nod. Anchored, so that it is tried once.
      pattern: '^\\s*\\S+\\s+\\S+\\s+\\S',
      minLength: 12,
      maxLength: 2000,
      description: 'Why, in a sentence or more.',
    }),
  },
  {
    title: 'DecisionWords',
    description: 'Who decided, and why. Kept beside the ledger, which has their salted hash; erasable.',
    ...part,
  },
)
export type DecisionWords = Static<typeof DecisionWords>

export const FindingToDecide = Type.Object(
  { ...about, ...DecisionWords.properties },
  {
    title: 'FindingToDecide',
    description: 'A decision on one finding of severity hold, of the latest version of a test.',
    ...part,
  },
)
export type FindingToDecide = Static<typeof FindingToDecide>

export const FindingDecision = Type.Object(
  {
    id: Id('decision', 'Id of the decision.'),
    testId: Id('test', 'The version it is about, and no other.'),
    programId: Id('program', 'The program that decided; for others it decides nothing.'),
    ...about,
    turn: Type.Integer({
      minimum: 1,
      maximum: 1000,
      description: 'Of the program on this finding; the highest is what counts.',
    }),
    decidedAt: Moment('When.'),
    decidedBy: Type.String({ maxLength: 40, description: 'Id of the key, or of the token’s principal, that did it.' }),
    sha256: Type.String({
      pattern: '^[0-9a-f]{64}$',
      minLength: 64,
      maxLength: 64,
      description: 'SHA-256 over the salt and the canonical JSON (RFC 8785) of `words`; the hash in the ledger.',
    }),
    salt: Type.Optional(
      Type.String({
        pattern: '^[0-9a-f]{32}$',
        minLength: 32,
        maxLength: 32,
        description: 'The salt, by which the hash can be checked; gone once the words are erased.',
      }),
    ),
    words: Type.Optional(DecisionWords),
    erasedAt: Type.Optional(Moment('When the words were erased; the decision stands.')),
  },
  { title: 'FindingDecision', description: 'What a program decided about one finding.', ...part },
)
export type FindingDecision = Static<typeof FindingDecision>
export const FindingDecisionPage = Page('FindingDecisionPage', FindingDecision)
