/** A pool of connections in one role. */
import pg from 'pg'
import type { Logger } from 'pino'
import type { PoolRole } from './roles.ts'

/** Session settings of every connection. A query that takes longer than these has gone wrong. */
const SETTINGS = {
  search_path: 'll',
  statement_timeout: '5s',
  lock_timeout: '2s',
  idle_in_transaction_session_timeout: '10s',
  // A commit that was answered is on disk, whatever the defaults of database or user say.
  synchronous_commit: 'on',
  timezone: 'UTC',
}

const CONNECT_TIMEOUT_MS = 5_000
/** The server ends a statement before that; whoever has heard nothing by then has lost the server. */
const QUERY_TIMEOUT_MS = 8_000
const { builtins } = pg.types

/** Connects on demand. Each new connection is checked: it must really be in the role. */
export function openPool(url: string, role: PoolRole, max: number, log: Logger): pg.Pool {
  const pool = new pg.Pool({
    ...inRole(url, role),
    max,
    application_name: `liftledger ${role}`,
    connectionTimeoutMillis: CONNECT_TIMEOUT_MS,
    query_timeout: QUERY_TIMEOUT_MS,
    keepAlive: true,
    pipeline: true,
    types: { getTypeParser },
    onConnect: (client) => insistOnRole(client, role),
  })
  // Without listeners a connection that breaks would end the process: idle ones tell the pool, those in use
  // only themselves. Either is replaced on demand, and a query under way fails by itself.
  pool.on('error', (error) => log.warn({ err: error, role }, 'idle database connection lost'))
  pool.on('connect', (client) =>
    client.on('error', (error) => log.debug({ err: error, role }, 'database connection lost')),
  )
  return pool
}

/** Options in the URL would win over ours, and with them the login user's rights. They go first, ours after. */
export function inRole(url: string, role: PoolRole): { connectionString: string; options: string } {
  const parsed = new URL(url)
  const given = parsed.searchParams.get('options')
  parsed.searchParams.delete('options')
  const ours = Object.entries({ role, ...SETTINGS }).map(([name, value]) => `-c ${name}=${value}`)
  return { connectionString: parsed.href, options: [...(given ? [given] : []), ...ours].join(' ') }
}

async function insistOnRole(client: pg.ClientBase, role: PoolRole): Promise<void> {
  const { rows } = await client.query<{ role: string }>('select current_user::text as role')
  if (rows[0]?.role !== role) {
    throw new Error(
      `A connection for ${role} came up as ${rows[0]?.role}: something between service and database drops the ` +
        'start-up option "role". Connect to Postgres directly, or let the pooler pass start-up options on.',
    )
  }
}

const asText = (value: string): string => value

/** A day stays `YYYY-MM-DD`: no time zone can move it. Whole numbers come as numbers; ours never reach 2⁵³. */
const getTypeParser = ((oid: number, format?: 'text' | 'binary') => {
  if (format !== 'binary') {
    if (oid === builtins.DATE) return asText
    if (oid === builtins.INT8) return Number
  }
  return format === 'binary' ? pg.types.getTypeParser(oid, format) : pg.types.getTypeParser(oid, 'text')
}) as typeof pg.types.getTypeParser
