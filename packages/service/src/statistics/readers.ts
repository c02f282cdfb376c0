/** Who may read statistics that are not protected. */
import type { Principal } from '../http/principal.ts'
import { Problem } from '../http/problem.ts'

export const READERS = {
  access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
  problems: ['not-acceptable', 'invalid-request'],
  readLog: { of: 'list' },
} as const

/** Throws `forbidden` for those who see no single tests. */
export function insistOnOwnTests({ role }: Principal): void {
  if (role === 'firm' || role === 'program' || role === 'auditor') return
  throw new Problem(
    'forbidden',
    `A firm sees statistics of its own tests, a program of those it was given, an auditor of all. For the role ${role} there are public statistics, which are made once a month.`,
  )
}
