/** Makes a key: for the route, for seeds, and for the first administrator, who has no key to ask with. */
import type { Databases } from '../db/database.ts'
import { fromWire, toWire } from '../http/ids.ts'
import { type Principal, ROLE_SCOPES } from '../http/principal.ts'
import { Problem, type ProblemItem, referenceNotFound } from '../http/problem.ts'
import { type KeyEnvironment, makeKey } from './key.ts'
import { insertKey, type KeyRow } from './queries.ts'
import type { Key, KeyToMake, MadeKey } from './schemas.ts'

const DAY_MS = 24 * 60 * 60 * 1000
const LIFE_MS = 365 * DAY_MS
const LIFE_MS_MAX = 2 * 365 * DAY_MS

export interface KeyMaking {
  readonly databases: Databases
  readonly config: { readonly keyPepper: string; readonly keyEnvironment: KeyEnvironment }
  now(): Date
}

/** Who makes a key that nobody asked for through the API: whoever holds the database's URL. */
const OPERATOR: Principal = { role: 'admin', keyId: 'operator', scopes: [] }

/**
 * Makes and stores a key. Without `by` it is made in the name of whoever runs the process: only code that was
 * given the database itself gets this far.
 */
export async function createKey(
  { databases, config, now }: KeyMaking,
  asked: KeyToMake,
  by: Principal = OPERATOR,
): Promise<MadeKey> {
  const problems = mistakes(asked, now())
  if (problems.length > 0) throw new Problem('invalid-request', 'The key can not be made.', { errors: problems })
  const { key, id, hash } = makeKey(config.keyEnvironment, config.keyPepper)
  const row: KeyRow = {
    id,
    role: asked.role,
    firm_id: asked.firmId === undefined ? null : fromWire('firm', asked.firmId)!,
    program_id: asked.programId === undefined ? null : fromWire('program', asked.programId)!,
    scopes: [...(asked.scopes ?? ROLE_SCOPES[asked.role])],
    name: asked.name,
    created_at: now(),
    expires_at: asked.expiresAt === undefined ? new Date(now().getTime() + LIFE_MS) : new Date(asked.expiresAt),
    revoked_at: null,
  }
  await databases.asPrincipal(by, async (tx) => {
    await refuseUnknownOwner(asked, async (table, owner) =>
      Boolean(await tx.selectFrom(table).select('id').where('id', '=', owner).executeTakeFirst()),
    )
    await insertKey(tx, { ...row, hash })
  })
  return { ...toKey(row), key }
}

type Exists = (table: 'firm' | 'program', id: string) => Promise<boolean>

async function refuseUnknownOwner(asked: KeyToMake, exists: Exists): Promise<void> {
  for (const noun of ['firm', 'program'] as const) {
    const id = asked[`${noun}Id`]
    if (id !== undefined && !(await exists(noun, fromWire(noun, id)!))) {
      throw referenceNotFound([{ pointer: `/${noun}Id`, noun, code: id }])
    }
  }
}

function mistakes(asked: KeyToMake, now: Date): ProblemItem[] {
  const items: ProblemItem[] = []
  for (const noun of ['firm', 'program'] as const) {
    const pointer = `/${noun}Id`
    const given = asked[`${noun}Id`] !== undefined
    if (asked.role === noun && !given) {
      items.push({ pointer, code: 'missing-member', message: `A key with role ${noun} must name its ${noun}.` })
    } else if (asked.role !== noun && given) {
      items.push({ pointer, code: 'unknown-field', message: `A key with role ${asked.role} speaks for no ${noun}.` })
    }
  }
  const ceiling: readonly string[] = ROLE_SCOPES[asked.role]
  asked.scopes?.forEach((scope, n) => {
    if (ceiling.includes(scope)) return
    const message = `A key with role ${asked.role} can't have the scope ${scope}.`
    items.push({ pointer: `/scopes/${n}`, code: 'unknown-value', message, allowed: [...ceiling] })
  })
  const lifeMs = asked.expiresAt === undefined ? LIFE_MS : Date.parse(asked.expiresAt) - now.getTime()
  if (lifeMs <= 0 || lifeMs > LIFE_MS_MAX) {
    const message = 'A key must end in the future, and within two years.'
    items.push({ pointer: '/expiresAt', code: 'wrong-format', message })
  }
  return items
}

/** Wire form of a row. */
export function toKey(row: KeyRow): Key {
  return {
    id: row.id,
    role: row.role as Key['role'],
    ...(row.firm_id !== null && { firmId: toWire('firm', row.firm_id) }),
    ...(row.program_id !== null && { programId: toWire('program', row.program_id) }),
    name: row.name,
    scopes: row.scopes as Key['scopes'],
    createdAt: row.created_at.toISOString(),
    expiresAt: row.expires_at.toISOString(),
    ...(row.revoked_at !== null && { revokedAt: row.revoked_at.toISOString() }),
  }
}
