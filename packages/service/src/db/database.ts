/**
 * The way into the database: one pool per role, and transactions that see what a principal may see.
 *
 * Row-level security is the wall. A pool reaches its role by a start-up option; the policies read the
 * firm or program from settings that last for one transaction. A query outside `asPrincipal` therefore
 * sees nothing, rather than everything.
 */
import { Kysely, PostgresDialect, type Transaction } from 'kysely'
import type pg from 'pg'
import type { Logger } from 'pino'
import type { Principal, Role } from '../http/principal.ts'
import { type Heard, type Listener, listen } from './listen.ts'
import { type FoundRecord, gatherLookUps, type RecordLookUps, type RecordQuestion } from './look-up.ts'
import { openPool } from './pool.ts'
import { PrincipalDialect, readerOf, SETTINGS } from './principal-dialect.ts'
import { gatherTestReads, type TestAnswer, type TestReads } from './read-tests.ts'
import type { PoolRole } from './roles.ts'
import type { Database } from './schema.ts'
import { checkServer } from './start-checks.ts'

export interface Databases {
  /** Runs fn in one transaction of the pool of the principal's role, seeing only what the principal may see. */
  asPrincipal<T>(principal: Principal, fn: (tx: Transaction<Database>) => Promise<T>): Promise<T>
  /**
   * A test by its UUID, as far as the principal may see it: gathered with what others ask in the same turn, each
   * behind its own wall. `known` is the mark of what the caller holds of the test; see {@link TestAnswer}.
   */
  readTest(principal: Principal, testId: string, known?: Buffer): Promise<TestAnswer>
  /** The records that a sheet names, as far as the firm may see them: gathered with what others ask in the same turn. */
  lookUp(principal: Principal, question: Omit<RecordQuestion, 'firmId'>): Promise<readonly FoundRecord[]>
  /** Pool of the role that writes submissions and notes; only the files `write.ts` of the slices use it. */
  readonly writer: pg.Pool
  /** Pool of the role that makes the tree of the ledger and reads it, and closes hours of the read log; only `ledger` and `read-log` use it. */
  readonly integrator: pg.Pool
  /**
   * In the same role, for who reads what is public, the ledger and published rule sets: however many ask, whoever signs
   * has connections of his own.
   */
  readonly ledgerReads: pg.Pool
  /** Pool of the role that reads the narrow rows of all tests and folds them; only `statistics` uses it. */
  readonly statistics: pg.Pool
  /** As the role that looks up API keys, and can do nothing else. */
  readonly gate: Kysely<Database>
  /** Listens on a channel, on a connection of its own. */
  listen(channel: string, heard: Heard): Listener
  /** Connections of each pool, and how many wait for one, at this moment. */
  connections(): PoolState[]
  /** Whether the database answers within the time. */
  ping(timeoutMs: number): Promise<boolean>
  /** Ends all connections when their queries are through. */
  close(): Promise<void>
}

export interface PoolState {
  readonly role: PoolRole
  readonly open: number
  readonly idle: number
  readonly waiting: number
}

export interface DatabaseOptions {
  /** Refuse what is tolerated, with a warning, in development: a superuser's URL, a server that may lose commits. */
  readonly production: boolean
  readonly log: Logger
  /** Connections per role at most. */
  readonly poolSizes?: Partial<Record<PoolRole, number>>
}

const POOL_SIZES: Record<PoolRole, number> = {
  ll_firm: 8,
  ll_writer: 2,
  ll_gate: 2,
  ll_integrator: 2,
  ll_statistics: 2,
  ll_program: 2,
  ll_auditor: 2,
  ll_keeper: 2,
  ll_admin: 2,
}

/** For reads of the ledger. */
const LEDGER_READS = 3

/** Messages that read tests leave other queries of the role a connection. */
const readLimits = (connections: number) => ({
  itemsMax: 64,
  messagesMax: connections > 2 ? 2 : 1,
  waitingMax: 2_048,
})

const ROLE_OF = {
  firm: 'll_firm',
  program: 'll_program',
  auditor: 'll_auditor',
  keeper: 'll_keeper',
  admin: 'll_admin',
} as const satisfies Record<Role, PoolRole>

/** @throws when server, user or roles would break what the service promises; the message says what to change. */
export async function openDatabases(url: string, options: DatabaseOptions): Promise<Databases> {
  const pools = new Map<PoolRole, pg.Pool>()
  const sizeOf = (role: PoolRole): number => options.poolSizes?.[role] ?? POOL_SIZES[role]
  const poolOf = (role: PoolRole): pg.Pool => {
    const pool = pools.get(role) ?? openPool(url, role, sizeOf(role), options.log)
    pools.set(role, pool)
    return pool
  }
  const reads = new Map<Role, TestReads>()
  const readsOf = (role: Role): TestReads => {
    const setting = role === 'firm' || role === 'program' ? SETTINGS[role] : undefined
    const known = reads.get(role)
    const own = known ?? gatherTestReads(poolOf(ROLE_OF[role]), setting, readLimits(sizeOf(ROLE_OF[role])))
    reads.set(role, own)
    return own
  }
  let lookUps: RecordLookUps | undefined
  const ledgerReads = openPool(url, 'll_integrator', LEDGER_READS, options.log)
  const close = async () => {
    await Promise.all([...pools.values(), ledgerReads].map((pool) => pool.end()))
  }
  try {
    await checkServer(poolOf('ll_gate'), options)
  } catch (error) {
    await close()
    throw error
  }
  return {
    async asPrincipal(principal, fn) {
      const dialect = new PrincipalDialect(poolOf(ROLE_OF[principal.role]), principal)
      return new Kysely<Database>({ dialect }).transaction().execute(fn)
    },
    readTest: async (principal, testId, known) =>
      readsOf(principal.role).ask({ reader: readerOf(principal)?.id, testId, known }),
    lookUp: async (principal, question) => {
      const firmId = principal.role === 'firm' ? readerOf(principal)?.id : undefined
      // Only a firm has records of its own; another role asks in vain, as row-level security would have it.
      if (firmId === undefined)
        throw new Error(`Key ${principal.keyId} has the role ${principal.role}, which looks up no records.`)
      lookUps ??= gatherLookUps(poolOf('ll_firm'), readLimits(sizeOf('ll_firm')))
      return lookUps.ask({ ...question, firmId })
    },
    writer: poolOf('ll_writer'),
    integrator: poolOf('ll_integrator'),
    ledgerReads,
    statistics: poolOf('ll_statistics'),
    gate: new Kysely<Database>({ dialect: new PostgresDialect({ pool: poolOf('ll_gate') }) }),
    listen: (channel, heard) => listen(url, channel, heard, options.log),
    connections: () => [...pools].map(([role, pool]) => stateOf(role, pool)),
    ping: (timeoutMs) => answers(poolOf('ll_gate'), timeoutMs),
    close,
  }
}

const stateOf = (role: PoolRole, { totalCount, idleCount, waitingCount }: pg.Pool): PoolState => ({
  role,
  open: totalCount,
  idle: idleCount,
  waiting: waitingCount,
})

async function answers(pool: pg.Pool, timeoutMs: number): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined
  const late = new Promise<false>((resolve) => {
    timer = setTimeout(resolve, timeoutMs, false)
  })
  const answered = pool.query('select 1').then(
    () => true,
    () => false,
  )
  try {
    return await Promise.race([answered, late])
  } finally {
    clearTimeout(timer)
  }
}
