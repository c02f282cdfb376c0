/** What a server, its user and its roles must be like before the service runs on them. */
import type pg from 'pg'
import type { Logger } from 'pino'
import { OWNER_ROLE, POOL_ROLES } from './roles.ts'

interface RoleFacts {
  readonly role: string
  readonly superuser: boolean
  readonly bypassesPolicies: boolean
  readonly reachesOwner: boolean
}
interface ServerFacts {
  readonly login: string
  readonly loginIsSuperuser: boolean
  readonly fsync: boolean
  readonly fullPageWrites: boolean
}

/**
 * Always refuses roles that walk past policies. In production also refuses a superuser's login, since
 * from it injected SQL could leave the role and see every row, and a server that may lose commits.
 *
 * @throws with everything that is wrong at once, and what to change.
 */
export async function checkServer(
  pool: pg.Pool,
  { production, log }: { production: boolean; log: Logger },
): Promise<void> {
  const server = await serverFacts(pool)
  const refused = roleProblems(await roleFacts(pool))
  for (const problem of productionProblems(server)) {
    if (production) refused.push(problem)
    else log.warn(`${problem} Tolerated outside production.`)
  }
  if (refused.length > 0) throw new Error(refused.join(' '))
}

function roleProblems(roles: readonly RoleFacts[]): string[] {
  return roles.flatMap(({ role, superuser, bypassesPolicies, reachesOwner }) => [
    ...(superuser ? [`Role ${role} is a superuser and sees every row: alter role ${role} nosuperuser.`] : []),
    ...(bypassesPolicies ? [`Role ${role} bypasses row-level security: alter role ${role} nobypassrls.`] : []),
    ...(reachesOwner
      ? [`Role ${role} owns tables or may become ${OWNER_ROLE}: revoke that, only migrations need it.`]
      : []),
  ])
}

function productionProblems(server: ServerFacts): string[] {
  return [
    ...(server.loginIsSuperuser
      ? [`DATABASE_URL logs in as superuser ${server.login}: name a user without that attribute.`]
      : []),
    ...(server.fsync
      ? []
      : ['The server runs with fsync off, so a power failure loses acknowledged tests: set fsync = on.']),
    ...(server.fullPageWrites ? [] : ['The server runs with full_page_writes off: set full_page_writes = on.']),
  ]
}

async function serverFacts(pool: pg.Pool): Promise<ServerFacts> {
  const { rows } = await pool.query<ServerFacts>(
    `select session_user::text as login,
            (select rolsuper from pg_roles where rolname = session_user) as "loginIsSuperuser",
            current_setting('fsync')::boolean as fsync,
            current_setting('full_page_writes')::boolean as "fullPageWrites"`,
  )
  const [facts] = rows
  if (!facts) throw new Error('The database did not answer about itself.')
  return facts
}

async function roleFacts(pool: pg.Pool): Promise<RoleFacts[]> {
  const { rows } = await pool.query<RoleFacts>(
    `select rolname::text as role, rolsuper as superuser, rolbypassrls as "bypassesPolicies",
            not rolsuper and (pg_has_role(oid, $2, 'MEMBER') or exists (
              select from pg_class where relowner = pg_roles.oid and relnamespace = to_regnamespace('ll'))) as "reachesOwner"
     from pg_roles where rolname = any ($1)`,
    [POOL_ROLES, OWNER_ROLE],
  )
  return rows
}
