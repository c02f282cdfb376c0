/** Changes of the registry on the wire. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Moment, part } from './schemas.ts'

/** What can be done to a record of the registry; the list is closed, so that a reader can switch on it. */
export const DEEDS = [
  'registered',
  'changed',
  'equipment-recorded',
  'meter-recorded',
  'access-given',
  'qualification-recorded',
  'revision-recorded',
  'check-recorded',
] as const

export type Deed = (typeof DEEDS)[number]

const AnyValue = (description: string) => Type.Optional(Type.Unknown({ description }))
export const Change = Type.Object(
  {
    member: Type.String({ maxLength: 60, description: 'Member of the record.' }),
    change: Type.Enum(['set', 'changed', 'removed'], { description: 'What became of it.' }),
    from: AnyValue('What it was; absent where there was nothing, and of personal data.'),
    to: AnyValue('What it became; absent where it was removed, and of personal data.'),
    personal: Type.Optional(
      Type.Boolean({ description: 'True of personal data: its values are not kept here, so that they can be erased.' }),
    ),
  },
  { title: 'Change', description: 'What became of one member of a record.', ...part },
)
export type Change = Static<typeof Change>
export const RegistryChange = Type.Object(
  {
    at: Moment('When it was recorded.'),
    keyId: Type.Optional(
      Type.String({ maxLength: 40, description: 'Key that did it; absent where it is not one of the caller’s firm.' }),
    ),
    by: Type.Optional(
      Type.Enum(['administrator', 'another-firm'], { description: 'Whose key it was, where its id is not told.' }),
    ),
    deed: Type.Enum([...DEEDS], { description: 'What was done.' }),
    changes: Type.Array(Change, { maxItems: 50, description: 'Member by member.' }),
  },
  { title: 'RegistryChange', description: 'One change of a record of the registry.', ...part },
)
export type RegistryChange = Static<typeof RegistryChange>
export const RegistryChangePage = Page('RegistryChangePage', RegistryChange)
