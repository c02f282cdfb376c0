/** Makes a key: for the route, for seeds, and for the first administrator, who has no key to ask with. */
import type { Databases } from '../db/database.ts'
import type { Principal } from '../http/principal.ts'
import { Problem, type ProblemItem } from '../http/problem.ts'
import { grantColumns, grantMistakes, refuseUnknownOwner, toGrant } from './grant.ts'
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
  const at = now()
  const problems = [...grantMistakes(asked), ...endMistakes(asked.expiresAt, at)]
  if (problems.length > 0) throw new Problem('invalid-request', 'The key can not be made.', { errors: problems })
  const { key, id, hash } = makeKey(config.keyEnvironment, config.keyPepper)
  const row: KeyRow = { id, ...grantColumns(asked), ...lifeFrom(at, asked.expiresAt) }
  await databases.asPrincipal(by, async (tx) => {
    await refuseUnknownOwner(tx, asked)
    await insertKey(tx, { ...row, hash })
  })
  return { ...toKey(row), key }
}

/** What is wrong with the end that was asked for. */
export function endMistakes(expiresAt: string | undefined, now: Date): ProblemItem[] {
  const lifeMs = expiresAt === undefined ? LIFE_MS : Date.parse(expiresAt) - now.getTime()
  if (lifeMs > 0 && lifeMs <= LIFE_MS_MAX) return []
  const message = 'A key must end in the future, and within two years.'
  return [{ pointer: '/expiresAt', code: 'wrong-format', message }]
}

/** Columns of a key that begins now; a year from now it ends unless asked otherwise. */
export function lifeFrom(now: Date, expiresAt: string | undefined) {
  return {
    created_at: now,
    expires_at: expiresAt === undefined ? new Date(now.getTime() + LIFE_MS) : new Date(expiresAt),
    revoked_at: null,
    replaced_by: null,
  }
}

/** Wire form of a row. */
export function toKey(row: KeyRow): Key {
  return {
    id: row.id,
    ...toGrant(row),
    createdAt: row.created_at.toISOString(),
    expiresAt: row.expires_at.toISOString(),
    ...(row.revoked_at !== null && { revokedAt: row.revoked_at.toISOString() }),
    ...(row.replaced_by !== null && { replacedBy: row.replaced_by }),
  }
}
