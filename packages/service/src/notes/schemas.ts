/** Notes beside a test: the one place for names, telephone numbers and free text. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = { additionalProperties: false }
const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
const Line = (description: string) => Type.Optional(Type.String({ minLength: 1, maxLength: 200, description }))

const Remark = Type.Object(
  {
    kind: Type.Literal('remark', { description: 'Free text.' }),
    text: Type.String({ minLength: 1, maxLength: 4000, description: 'Whatever should be remembered of the visit.' }),
  },
  { title: 'Remark', description: 'Free text about the visit.', ...part },
)
const Contact = Type.Object(
  {
    kind: Type.Literal('contact', { description: 'A person to turn to.' }),
    role: Type.Enum(['grower', 'owner', 'operator', 'other'], { description: 'What the person is to the plant.' }),
    name: Line('Name.'),
    telephone: Line('Telephone number.'),
    email: Line('Address for e-mail.'),
    postalAddress: Line('Postal address, on one line.'),
  },
  {
    title: 'Contact',
    description: 'A person to turn to; at least one way to know or reach them.',
    minProperties: 3,
    ...part,
  },
)

const choice = {
  type: 'object',
  required: ['kind'],
  discriminator: { propertyName: 'kind' },
  oneOf: [Remark, Contact],
}
export type NoteContent = Static<typeof Remark> | Static<typeof Contact>
export const NoteContent = Type.Unsafe<NoteContent>({
  title: 'NoteContent',
  description: 'A remark or a contact, told apart by `kind`. Personal: it can be erased.',
  ...choice,
})

export const Note = Type.Object(
  {
    id: Id('note', 'Id of the note.'),
    testId: Id('test', 'Id of the test it stands beside.'),
    createdAt: Moment('When it was written.'),
    sha256: Type.String({
      pattern: '^[0-9a-f]{64}$',
      minLength: 64,
      maxLength: 64,
      description: 'SHA-256 over the salt and the canonical JSON (RFC 8785) of `content`; the hash in the ledger.',
    }),
    salt: Type.Optional(
      Type.String({
        pattern: '^[0-9a-f]{32}$',
        minLength: 32,
        maxLength: 32,
        description: 'The salt, by which the hash can be checked; gone once the note is erased.',
      }),
    ),
    content: Type.Optional(NoteContent),
    erasedAt: Type.Optional(Moment('When it was erased: then salt and content are gone, and the hash says nothing.')),
  },
  { title: 'Note', description: 'A note beside a test, or what is left of it.', ...part },
)
export type Note = Static<typeof Note>
export const NotePage = Page('NotePage', Note)
