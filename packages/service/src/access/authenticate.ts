/** From a key to the principal it stands for. */
import type { Deps } from '../deps.ts'
import type { Authenticate } from '../http/auth.ts'
import type { Principal, Role } from '../http/principal.ts'
import { hashKey, keyIdOf, sameHash } from './key.ts'
import { findForGate, type GateRow } from './queries.ts'

/** A revoked key is refused everywhere within this time. */
const CACHE_MS = 5_000
const CACHE_ENTRIES_MAX = 10_000

/** Compared with where there is nothing to compare with, so that an unknown id costs the same. */
const NOBODY = Buffer.alloc(32)

interface Remembered {
  readonly untilMs: number
  readonly row: Promise<GateRow | undefined>
}

export function keyAuthenticator({ databases, config, now }: Pick<Deps, 'databases' | 'config' | 'now'>): Authenticate {
  const cache = new Map<string, Remembered>()

  function lookUp(id: string, nowMs: number): Promise<GateRow | undefined> {
    const remembered = cache.get(id)
    if (remembered !== undefined && nowMs < remembered.untilMs) return remembered.row
    const row = findForGate(databases.gate, id)
    cache.delete(id)
    cache.set(id, { untilMs: nowMs + CACHE_MS, row })
    // The oldest goes first: a map keeps the order of insertion.
    if (cache.size > CACHE_ENTRIES_MAX) cache.delete(cache.keys().next().value!)
    // Neither a failure nor an absence is remembered: the next one asks again.
    row.then(
      (found) => found === undefined && forget(id, row),
      () => forget(id, row),
    )
    return row
  }

  function forget(id: string, row: Promise<GateRow | undefined>): void {
    if (cache.get(id)?.row === row) cache.delete(id)
  }

  return async (key) => {
    const id = keyIdOf(key, config.keyEnvironment)
    if (id === undefined) return undefined
    const at = now()
    const row = await lookUp(id, at.getTime())
    const same = sameHash(hashKey(key, config.keyPepper), row?.hash ?? NOBODY)
    if (row === undefined || !same || row.revoked_at !== null || row.expires_at <= at) return undefined
    return principalOf(row)
  }
}

function principalOf(row: GateRow): Principal {
  return {
    role: row.role as Role,
    keyId: row.id,
    ...(row.firm_id !== null && { firmId: row.firm_id }),
    ...(row.program_id !== null && { programId: row.program_id }),
    scopes: row.scopes,
  }
}
