/**
 * The plans of the very queries that the service asks, in the role and for the reader that it asks them for. The
 * server's own `auto_explain` tells them, also of the queries inside functions.
 */
import {
  DummyDriver,
  Kysely,
  PostgresAdapter,
  PostgresIntrospector,
  PostgresQueryCompiler,
  type Transaction,
} from 'kysely'
import pg from 'pg'
import type { Database } from '../../packages/service/src/db/schema.ts'

interface PlanNode {
  readonly 'Node Type': string
  readonly 'Relation Name'?: string
  readonly 'Index Name'?: string
  readonly Plans?: readonly PlanNode[]
}

export interface Explained {
  /** Scans in the order of the plan: `table by index`, or `table WHOLE`. */
  readonly scans: readonly string[]
  /** Tables that are read from end to end. */
  readonly wholeTables: readonly string[]
  readonly sorts: boolean
  readonly rows: number
  /** Time to the answer of a connection that has asked before, without the bookkeeping of plans; median of nine. */
  readonly ms: number
}

export interface Asked {
  readonly sql: string
  readonly parameters: readonly unknown[]
}

/** What a function asks, without asking: each query is answered with no rows. */
export async function recorded(ask: (tx: Transaction<Database>) => Promise<unknown>): Promise<Asked[]> {
  const asked: Asked[] = []
  const recorder = new Kysely<Database>({
    dialect: {
      createAdapter: () => new PostgresAdapter(),
      createDriver: () => new DummyDriver(),
      createIntrospector: (db) => new PostgresIntrospector(db),
      createQueryCompiler: () => new PostgresQueryCompiler(),
    },
    log: ({ query }) => {
      asked.push(query)
    },
  })
  // What it makes of no rows is its own business.
  await ask(recorder as Transaction<Database>).catch(() => undefined)
  return asked
}

/** Two connections of a superuser that took the role of a reader: one tells its plans, one is timed. */
export interface Connections {
  readonly telling: pg.Client
  readonly timed: pg.Client
  end(): Promise<void>
}

export async function connectAs(url: string, role: string): Promise<Connections> {
  const [telling, timed] = [new pg.Client(url), new pg.Client(url)]
  await Promise.all([telling.connect(), timed.connect()])
  await telling.query(`
    load 'auto_explain';
    set auto_explain.log_min_duration = 0; set auto_explain.log_analyze = on; set auto_explain.log_timing = off;
    set auto_explain.log_nested_statements = on; set auto_explain.log_format = json; set client_min_messages = log`)
  for (const client of [telling, timed]) await client.query(`set search_path = ll; set role ${role}`)
  return {
    telling,
    timed,
    end: async () => {
      await Promise.all([telling.end(), timed.end()])
    },
  }
}

/** Plans that a function makes anew for its first callers are made once for all by then. */
const WARM_UPS = 6
const TIMES = 9

/** `settings` say for whom the role reads. */
export async function explain(
  { telling, timed }: Connections,
  settings: Readonly<Record<string, string>>,
  asked: Asked,
): Promise<Explained> {
  const plans: PlanNode[] = []
  const listen = ({ message }: { message?: string | undefined }) => {
    const [, told] = /plan:\n([\s\S]*)$/.exec(message ?? '') ?? []
    if (told !== undefined) plans.push((JSON.parse(told) as { Plan: PlanNode }).Plan)
  }
  telling.on('notice', listen)
  await ask(telling, settings, asked)
  telling.off('notice', listen)
  for (let time = 0; time < WARM_UPS; time++) await ask(timed, settings, asked)
  const answers: { readonly rows: number; readonly ms: number }[] = []
  for (let time = 0; time < TIMES; time++) answers.push(await ask(timed, settings, asked))
  const median = answers.toSorted((a, b) => a.ms - b.ms)[TIMES >> 1]!
  return { ...explained(plans), ...median }
}

/** Asks once, in a transaction of its own. */
async function ask(
  client: pg.Client,
  settings: Readonly<Record<string, string>>,
  { sql, parameters }: Asked,
): Promise<{ rows: number; ms: number }> {
  await client.query('begin')
  for (const [name, value] of Object.entries(settings)) {
    await client.query('select set_config($1, $2, true)', [name, value])
  }
  const started = performance.now()
  const { rows } = await client.query(sql, [...parameters])
  const ms = performance.now() - started
  // The plan of the query itself is told when its portal goes, which is with the transaction.
  await client.query('rollback')
  return { rows: rows.length, ms }
}

function explained(plans: readonly PlanNode[]): Omit<Explained, 'rows' | 'ms'> {
  const nodes = plans.flatMap(flat)
  const scans = nodes.filter((node) => node['Relation Name'] !== undefined)
  const isWhole = (node: PlanNode) => node['Index Name'] === undefined && !node['Node Type'].startsWith('Bitmap')
  const told = scans.map((node) => `${node['Relation Name']} ${isWhole(node) ? 'WHOLE' : `by ${indexOf(node)}`}`)
  return {
    scans: [...new Set(told)],
    wholeTables: scans.filter(isWhole).map((node) => node['Relation Name']!),
    sorts: nodes.some((node) => /Sort/.test(node['Node Type'])),
  }
}

const flat = (plan: PlanNode): PlanNode[] => [plan, ...(plan.Plans ?? []).flatMap(flat)]
/** Of a bitmap scan the index stands below. */
const indexOf = (node: PlanNode): string =>
  node['Index Name'] ?? flat(node).find((below) => below['Index Name'] !== undefined)?.['Index Name'] ?? '?'
