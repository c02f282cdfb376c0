/** Keys on the wire. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { ROLES, SCOPES } from '../http/principal.ts'

const part = { additionalProperties: false }
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
const Role = Type.Enum([...ROLES], { description: 'Who the key speaks for.' })
const Scopes = Type.Array(Type.Enum([...SCOPES]), {
  minItems: 1,
  maxItems: SCOPES.length,
  uniqueItems: true,
  description: 'What the key may do within its role.',
})
const name = Type.String({ minLength: 1, maxLength: 200, description: 'What the key is for.' })

export const KeyId = Type.String({
  pattern: '^[0-9A-HJKMNP-TV-Z]{12}$',
  minLength: 12,
  maxLength: 12,
  description: 'Id of the key: the part after its environment. Not secret.',
})

export const KeyToMake = Type.Object(
  {
    role: Role,
    firmId: Type.Optional(Id('firm', 'Firm the key speaks for; with role firm.')),
    programId: Type.Optional(Id('program', 'Program the key speaks for; with role program.')),
    name,
    scopes: Type.Optional(Scopes),
    expiresAt: Type.Optional(Moment('When the key ends; a year from now if absent, two years at most.')),
  },
  { title: 'KeyToMake', description: 'A key to be made. Without scopes it may do all that its role may.', ...part },
)
export type KeyToMake = Static<typeof KeyToMake>

const facts = {
  id: KeyId,
  role: Role,
  firmId: Type.Optional(Id('firm', 'Firm the key speaks for.')),
  programId: Type.Optional(Id('program', 'Program the key speaks for.')),
  name,
  scopes: Scopes,
  createdAt: Moment('When it was made.'),
  expiresAt: Moment('When it ends.'),
  revokedAt: Type.Optional(Moment('When it was revoked.')),
}

export const Key = Type.Object(facts, { title: 'Key', description: 'A key, without its secret.', ...part })
export type Key = Static<typeof Key>

export const MadeKey = Type.Object(
  { ...facts, key: Type.String({ maxLength: 100, description: 'The key itself. Shown this once; it is not stored.' }) },
  { title: 'MadeKey', description: 'A key just made.', ...part },
)
export type MadeKey = Static<typeof MadeKey>

export const KeyPage = Page('KeyPage', Key)
