/**
 * The database roles. What each may do is granted in `migrations/`; here they are made and reached.
 *
 * No role can log in: a pool reaches its role by the start-up option `-c role=…`, which survives
 * `reset role` and `discard all`, needs no second URL and no second password.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import type pg from 'pg'

/** Owns schema and tables; used by migrations only, never by a pool. */
export const OWNER_ROLE = 'll_owner'

/** One role per kind of reader, one that writes submissions, one that looks up keys, one that makes the tree of the ledger, one that folds statistics. */
export const POOL_ROLES = [
  'll_firm',
  'll_program',
  'll_auditor',
  'll_keeper',
  'll_admin',
  'll_writer',
  'll_gate',
  'll_integrator',
  'll_statistics',
] as const
export type PoolRole = (typeof POOL_ROLES)[number]

/** Owns the functions through which a firm learns what is shared with it; no pool and no person is in it. */
export const SHARING_ROLE = 'll_sharing'

const ALL_ROLES = [OWNER_ROLE, ...POOL_ROLES, SHARING_ROLE]

/** Lost races over the shared catalogue: tuple concurrently updated, unique violation, role exists. */
const LOST_RACES = new Set(['XX000', '23505', '42710'])
const INSUFFICIENT_PRIVILEGE = '42501'

/**
 * Makes the roles that are missing and lets the login user switch to them.
 *
 * Roles belong to the whole cluster, advisory locks to one database, so a lock would not keep two
 * databases apart: the block swallows a lost race and is tried again.
 *
 * @throws when the login user may do neither; the message holds the SQL an administrator runs once.
 */
export async function ensureRoles(client: pg.ClientBase): Promise<void> {
  try {
    for (const role of await missingRoles(client)) {
      await retryingRaces(() =>
        client.query(`do $$ begin
          if not exists (select from pg_roles where rolname = '${role}') then create role ${role} nologin; end if;
        exception when duplicate_object or unique_violation then null; end $$`),
      )
    }
    for (const role of await unreachableRoles(client)) {
      await retryingRaces(() =>
        client.query(`do $$ begin
          grant ${role} to current_user;
        exception when unique_violation then null; end $$`),
      )
    }
  } catch (error) {
    if (codeOf(error) !== INSUFFICIENT_PRIVILEGE) throw error
    throw new Error(await advice(client), { cause: error })
  }
}

async function missingRoles(client: pg.ClientBase): Promise<string[]> {
  const { rows } = await client.query<{ role: string }>(
    'select role from unnest($1::text[]) role where role not in (select rolname from pg_roles)',
    [ALL_ROLES],
  )
  return rows.map((row) => row.role)
}

/** Roles the login user can't switch to. From 16 on, being a member is not enough: it takes the SET option. */
async function unreachableRoles(client: pg.ClientBase): Promise<string[]> {
  const { rows } = await client.query<{ role: string }>(
    `select role from unnest($1::text[]) role
     where not pg_has_role(current_user, role,
                           case when current_setting('server_version_num')::int >= 160000 then 'SET' else 'MEMBER' end)`,
    [ALL_ROLES],
  )
  return rows.map((row) => row.role)
}

async function advice(client: pg.ClientBase): Promise<string> {
  const { rows } = await client.query<{ login: string }>('select quote_ident(current_user) as login')
  const login = rows[0]?.login ?? 'current_user'
  const missing = await missingRoles(client)
  const unreachable = missing.length > 0 ? ALL_ROLES : await unreachableRoles(client)
  const statements = [
    ...missing.map((role) => `create role ${role} nologin;`),
    `grant ${unreachable.join(', ')} to ${login};`,
  ]
  return [
    `Database user ${login} may not make the roles Liftledger runs under, or may not switch to them.`,
    `Let an administrator of the database run once: ${statements.join(' ')}`,
    ...(missing.length > 0 ? [`Or give ${login} the attribute CREATEROLE before the first start.`] : []),
  ].join(' ')
}

async function retryingRaces(attempt: () => Promise<unknown>): Promise<void> {
  for (let tries = 1; ; tries++) {
    try {
      await attempt()
      return
    } catch (error) {
      if (tries >= 10 || !LOST_RACES.has(codeOf(error) ?? '')) throw error
      await sleep(5 + Math.random() * 20 * tries)
    }
  }
}

/** SQLSTATE of an error thrown by the driver. */
export function codeOf(error: unknown): string | undefined {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : undefined
}
