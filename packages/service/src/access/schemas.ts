/** Keys and token principals on the wire. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { ROLES, SCOPES } from '../http/principal.ts'

const part = { additionalProperties: false }
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
const Role = Type.Enum([...ROLES], { description: 'For whom it speaks.' })
const Scopes = Type.Array(Type.Enum([...SCOPES], { description: 'One thing it may do.' }), {
  minItems: 1,
  maxItems: SCOPES.length,
  uniqueItems: true,
  description: 'What it may do within its role.',
})
const name = Type.String({ minLength: 1, maxLength: 200, description: 'What it is for.' })

const CredentialId = (description: string) =>
  Type.String({ pattern: '^[0-9A-HJKMNP-TV-Z]{12}$', minLength: 12, maxLength: 12, description })

export const KeyId = CredentialId('Id of the key: the part after its environment. Not secret.')
export const TokenPrincipalId = CredentialId('Id of the principal.')

const grantToMake = {
  role: Role,
  firmId: Type.Optional(Id('firm', 'Firm it speaks for; with role firm.')),
  programId: Type.Optional(Id('program', 'Program it speaks for; with role program.')),
  name,
  scopes: Type.Optional(Scopes),
  holder: Type.Optional(
    Type.String({
      pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$',
      minLength: 1,
      maxLength: 40,
      description:
        'Code of the person who holds it, as the office that hands it out counts its people; a code, never a name. ' +
        'Needed where two persons are asked for: credentials of one code are one person.',
    }),
  ),
}
const grant = { ...grantToMake, scopes: Scopes }

export const KeyToMake = Type.Object(
  {
    ...grantToMake,
    expiresAt: Type.Optional(Moment('When the key ends; a year from now if absent, two years at most.')),
  },
  { title: 'KeyToMake', description: 'A key to be made. Without scopes it may do all that its role may.', ...part },
)
export type KeyToMake = Static<typeof KeyToMake>
export type GrantToMake = Omit<KeyToMake, 'expiresAt'>

export const KeyToRotate = Type.Object(
  {
    oldEndsAt: Type.Optional(
      Moment('When the old key ends; a day from now if absent. Never later than it would have ended anyway.'),
    ),
    expiresAt: Type.Optional(Moment('When the new key ends; a year from now if absent, two years at most.')),
  },
  { title: 'KeyToRotate', description: 'How the old key gives way to the new one; {} for the usual way.', ...part },
)
export type KeyToRotate = Static<typeof KeyToRotate>

const facts = {
  id: KeyId,
  ...grant,
  createdAt: Moment('When it was made.'),
  expiresAt: Moment('When it ends.'),
  revokedAt: Type.Optional(Moment('When it was revoked.')),
  replacedBy: Type.Optional(CredentialId('Id of the key that took its place.')),
}

export const Key = Type.Object(facts, { title: 'Key', description: 'A key, without its secret.', ...part })
export type Key = Static<typeof Key>
export type Grant = Pick<Key, 'role' | 'firmId' | 'programId' | 'name' | 'scopes' | 'holder'>

export const MadeKey = Type.Object(
  { ...facts, key: Type.String({ maxLength: 100, description: 'The key itself. Shown this once; it is not stored.' }) },
  { title: 'MadeKey', description: 'A key just made.', ...part },
)
export type MadeKey = Static<typeof MadeKey>

export const KeyPage = Page('KeyPage', Key)

const subject = {
  issuer: Type.String({
    format: 'uri',
    pattern: '^https?://',
    maxLength: 300,
    description: 'Address of the issuer, exactly as its tokens have it (`iss`).',
  }),
  subject: Type.String({
    minLength: 1,
    maxLength: 255,
    description: 'Who it is at the issuer, exactly as its tokens have it (`sub`).',
  }),
}

export const TokenPrincipalToMake = Type.Object(
  { ...subject, ...grantToMake },
  {
    title: 'TokenPrincipalToMake',
    description: 'Whom a subject of the issuer stands for. Without scopes it may do all that its role may.',
    ...part,
  },
)
export type TokenPrincipalToMake = Static<typeof TokenPrincipalToMake>

export const TokenPrincipal = Type.Object(
  {
    id: TokenPrincipalId,
    ...subject,
    ...grant,
    createdAt: Moment('When it was made.'),
    removedAt: Type.Optional(Moment('When it was removed.')),
  },
  { title: 'TokenPrincipal', description: 'Whom a subject of the issuer stands for here.', ...part },
)
export type TokenPrincipal = Static<typeof TokenPrincipal>

export const TokenPrincipalPage = Page('TokenPrincipalPage', TokenPrincipal)
