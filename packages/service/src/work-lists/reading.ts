/** What all work lists say of themselves, and who reads them. */
import { Type } from 'typebox'
import { CSV } from '../http/csv.ts'
import { toWire } from '../http/ids.ts'
import type { Role } from '../http/principal.ts'
import type { PlantsDue } from './schemas.ts'
import type { PlantRow } from './sound-tests.ts'

export const READERS = {
  access: {
    roles: ['firm', 'program', 'auditor'],
    scope: 'tests:read',
    others: 'A firm sees lists of its own tests, a program of those it was given, an auditor of all.',
  },
  problems: ['not-acceptable', 'invalid-request'],
  readLog: { of: 'list' },
} as const

const WHOSE: Partial<Record<Role, PlantsDue['of']>> = {
  firm: 'own-tests',
  program: 'tests-given-to-the-program',
  auditor: 'all-tests',
}
export const whose = (role: Role): PlantsDue['of'] => WHOSE[role]!

export const ofPlant = ({ id, code, kind, region }: PlantRow) => ({
  plantId: toWire('plant', id),
  plantCode: code,
  kind: kind as 'well' | 'booster',
  ...(region !== null && { region }),
})

export const historyOf = ({ id }: PlantRow) => ({ history: `/v1/plants/${toWire('plant', id)}/history` })

/** The answer as JSON or as a table. */
export const inBothForms = <S>(description: string, json: S) => ({
  200: {
    description,
    content: {
      'application/json': { schema: json },
      [CSV]: {
        schema: Type.String({
          maxLength: 500_000,
          description: 'A header line, then one line an item; RFC 4180. The next page is in the Link field.',
        }),
      },
    },
  },
})
