/** Rotation: a new key takes the place of an old one, which ends a little later, so that nobody stands without. */
import type { Principal } from '../http/principal.ts'
import { notFound, Problem, type ProblemItem } from '../http/problem.ts'
import { endMistakes, type KeyMaking, lifeFrom, toKey } from './create-key.ts'
import { makeKey } from './key.ts'
import { findKey, insertKey, type KeyRow, replaceKey } from './queries.ts'
import type { KeyToRotate, MadeKey } from './schemas.ts'

const OVERLAP_MS = 24 * 60 * 60 * 1000

/** Makes the successor, which may do what the old one may. Throws `conflict` if the old key has ended or has one. */
export async function rotateKey(
  { databases, config, now }: KeyMaking,
  oldId: string,
  asked: KeyToRotate,
  by: Principal,
): Promise<MadeKey> {
  const at = now()
  const { key, id, hash } = makeKey(config.keyEnvironment, config.keyPepper)
  const row = await databases.asPrincipal(by, async (tx) => {
    const old = await findKey(tx, oldId)
    if (old === undefined) throw notFound('key', oldId)
    refuseEnded(old, at)
    const problems = [...endMistakes(asked.expiresAt, at), ...overlapMistakes(asked.oldEndsAt, old, at)]
    if (problems.length > 0) throw new Problem('invalid-request', 'The key can not be rotated.', { errors: problems })
    const { role, firm_id, program_id, scopes, name, holder } = old
    const made: KeyRow = { id, role, firm_id, program_id, scopes, name, holder, ...lifeFrom(at, asked.expiresAt) }
    await insertKey(tx, { ...made, hash })
    const endsAt = asked.oldEndsAt === undefined ? earlier(old.expires_at, at, OVERLAP_MS) : new Date(asked.oldEndsAt)
    // Another administrator may have been faster: then the new key is not kept either.
    if (!(await replaceKey(tx, oldId, { by: id, endsAt, at }))) throw ended('It was rotated or revoked just now.')
    return made
  })
  return { ...toKey(row), key }
}

const earlier = (end: Date, from: Date, afterMs: number): Date =>
  new Date(Math.min(end.getTime(), from.getTime() + afterMs))

function refuseEnded({ revoked_at, replaced_by, expires_at }: KeyRow, at: Date): void {
  if (revoked_at !== null) throw ended('It was revoked.')
  if (replaced_by !== null) throw ended(`It was rotated before; its successor is ${replaced_by}.`)
  if (expires_at <= at) throw ended('It has expired.')
}

const ended = (why: string): Problem =>
  new Problem('conflict', `This key can't be rotated. ${why} Rotate its successor, or make a new key.`)

function overlapMistakes(oldEndsAt: string | undefined, old: KeyRow, at: Date): ProblemItem[] {
  if (oldEndsAt === undefined) return []
  const end = new Date(oldEndsAt)
  if (end > at && end <= old.expires_at) return []
  const message = `The old key must end in the future, and not after ${old.expires_at.toISOString()}, when it would end anyway.`
  return [{ pointer: '/oldEndsAt', code: 'wrong-format', message }]
}
