/** The grower's word, which lets others see what a firm found: one shape wherever it is asked for. */
import { type Static, Type } from 'typebox'
import { Problem } from './problem.ts'

/** Clocks differ a little. */
const AHEAD_MS_MAX = 5 * 60_000

const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })

export const GrowerConsent = Type.Object(
  {
    givenAt: Moment('When the grower gave it.'),
    by: Type.Enum(['grower'], { description: 'Whose word it is: the grower’s.' }),
    evidence: Type.String({
      pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$',
      minLength: 1,
      maxLength: 40,
      description: 'Number under which the firm keeps what shows the consent; a number, no name.',
    }),
  },
  { title: 'GrowerConsent', description: 'The grower’s consent. No personal data.', additionalProperties: false },
)
export type GrowerConsent = Static<typeof GrowerConsent>

export const ConsentWithdrawal = Type.Object(
  { withdrawnAt: Moment('When the grower took the consent back.') },
  {
    title: 'ConsentWithdrawal',
    description: 'The grower’s consent is taken back; what it opened closes at once.',
    additionalProperties: false,
  },
)

/** What every turn of a consent tells: the last one counts. `of` says of whom. */
export const consentTurn = (of: string) => ({
  turn: Type.Integer({ minimum: 1, maximum: 1000, description: 'Odd turns give, even ones take back.' }),
  consent: Type.Enum(['given', 'withdrawn'], {
    description: `What the grower said. The last turn of a ${of} is what counts.`,
  }),
  saidAt: Moment('When the grower said so.'),
  evidence: Type.Optional(
    Type.String({ maxLength: 40, description: 'Number under which the firm keeps what shows the consent.' }),
  ),
  recordedAt: Moment('When it was recorded.'),
})

/** Refuses a word that nobody can have given yet. `pointer` is its place in the body. */
export function refuseFutureWord(moment: string, pointer: string, now: Date): void {
  if (Date.parse(moment) <= now.getTime() + AHEAD_MS_MAX) return
  throw new Problem('invalid-request', 'The grower’s word lies in the future; nothing was stored.', {
    errors: [{ pointer, code: 'wrong-shape', message: `${moment} is later than now, ${now.toISOString()}.` }],
  })
}
