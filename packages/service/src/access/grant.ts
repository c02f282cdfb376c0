/** What a credential, be it a key or a token's principal, can be given: a role, whom it speaks for, scopes. */
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { fromWire, toWire } from '../http/ids.ts'
import { ROLE_SCOPES } from '../http/principal.ts'
import { type ProblemItem, referenceNotFound } from '../http/problem.ts'
import type { Grant, GrantToMake } from './schemas.ts'

interface GrantColumns {
  role: string
  firm_id: string | null
  program_id: string | null
  scopes: string[]
  name: string
  holder: string | null
}

const OWNERS = ['firm', 'program'] as const

/** What is wrong with a grant that was asked for, by its place. */
export function grantMistakes(asked: GrantToMake): ProblemItem[] {
  const items: ProblemItem[] = []
  for (const noun of OWNERS) {
    const pointer = `/${noun}Id`
    const given = asked[`${noun}Id`] !== undefined
    if (asked.role === noun && !given) {
      items.push({ pointer, code: 'missing-member', message: `The role ${noun} must name its ${noun}.` })
    } else if (asked.role !== noun && given) {
      items.push({ pointer, code: 'unknown-field', message: `The role ${asked.role} speaks for no ${noun}.` })
    }
  }
  const ceiling: readonly string[] = ROLE_SCOPES[asked.role]
  asked.scopes?.forEach((scope, n) => {
    if (ceiling.includes(scope)) return
    const message = `The role ${asked.role} can't have the scope ${scope}.`
    items.push({ pointer: `/scopes/${n}`, code: 'unknown-value', message, allowed: [...ceiling] })
  })
  return items
}

/** Throws `reference-not-found` if the firm or program does not exist. */
export async function refuseUnknownOwner(tx: Transaction<Database>, asked: GrantToMake): Promise<void> {
  for (const noun of OWNERS) {
    const id = asked[`${noun}Id`]
    if (id === undefined) continue
    const owner = await tx.selectFrom(noun).select('id').where('id', '=', fromWire(noun, id)!).executeTakeFirst()
    if (owner === undefined) throw referenceNotFound([{ pointer: `/${noun}Id`, noun, code: id }])
  }
}

/** A grant without mistakes as columns. Without scopes it has all that its role may have. */
export function grantColumns(asked: GrantToMake): GrantColumns {
  return {
    role: asked.role,
    firm_id: asked.firmId === undefined ? null : fromWire('firm', asked.firmId)!,
    program_id: asked.programId === undefined ? null : fromWire('program', asked.programId)!,
    scopes: [...(asked.scopes ?? ROLE_SCOPES[asked.role])],
    name: asked.name,
    holder: asked.holder ?? null,
  }
}

/** Wire form of the columns. */
export function toGrant(row: GrantColumns): Grant {
  return {
    role: row.role as Grant['role'],
    ...(row.firm_id !== null && { firmId: toWire('firm', row.firm_id) }),
    ...(row.program_id !== null && { programId: toWire('program', row.program_id) }),
    name: row.name,
    ...(row.holder !== null && { holder: row.holder }),
    scopes: row.scopes as Grant['scopes'],
  }
}
