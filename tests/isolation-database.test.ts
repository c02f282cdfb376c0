/** What the database keeps apart and unchanged, asked through the pools that the service uses. */
import { type RawBuilder, sql, type Transaction } from 'kysely'
import type { QueryResult, QueryResultRow } from 'pg'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Database } from '../packages/service/src/db/schema.ts'
import { onConnection } from '../packages/service/src/db/testing.ts'
import { fromWire } from '../packages/service/src/http/ids.ts'
import { type Principal, ROLES } from '../packages/service/src/http/principal.ts'
import { startTestService, type TestService } from './setup/service.ts'
import { registerContext, visitSheet } from './setup/visit.ts'

let service: TestService
let principals: Record<(typeof ROLES)[number], Principal>
let firmB: Principal
let tables: string[]

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const call = { body: visitSheet, headers: { 'idempotency-key': '"isolation"' } }
  expect((await service.call('firmA', 'POST /v1/tests', call)).status).toBe(201)
  const of = (role: Principal['role'], more: Partial<Principal> = {}): Principal => ({
    role,
    keyId: 'isolation001',
    scopes: [],
    ...more,
  })
  const firmOf = (wire: string) => of('firm', { firmId: fromWire('firm', wire)! })
  principals = {
    firm: firmOf(service.firmA),
    program: of('program', { programId: fromWire('program', service.program)! }),
    auditor: of('auditor'),
    keeper: of('keeper'),
    admin: of('admin'),
  }
  firmB = firmOf(service.firmB)
  tables = await tablesWithFirm()
})
afterAll(() => service.close())

/** Tables with rows of firms, as the catalogue knows them. */
const tablesWithFirm = () =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ name: string }>(
      `select relname::text as name from pg_class where relnamespace = 'll'::regnamespace and relkind = 'r'
       and exists (select from pg_attribute where attrelid = pg_class.oid and attname in ('firm_id', 'recorded_by', 'registered_by')) order by 1`,
    )
    return rows.map(({ name }) => name)
  })

const as = <T>(principal: Principal, fn: (tx: Transaction<Database>) => Promise<T>) =>
  service.deps.databases.asPrincipal(principal, fn)

/** Rows of a table that a query without any condition gets; none where the role may not read it at all. */
async function rowsOf(tx: Transaction<Database>, table: string): Promise<number> {
  const readable = await sql<{ ok: boolean }>`select has_table_privilege(${table}, 'select') as ok`.execute(tx)
  if (!readable.rows[0]!.ok) return 0
  const { rows } = await sql<{ n: number }>`select count(*)::int as n from ${sql.table(table)}`.execute(tx)
  return rows[0]!.n
}

const rowsSeenBy = (
  principal: Principal,
  before: (tx: Transaction<Database>) => Promise<unknown> = async () => undefined,
) =>
  as(principal, async (tx) => {
    await before(tx)
    const seen: Record<string, number> = {}
    for (const table of tables) seen[table] = await rowsOf(tx, table)
    return seen
  })

/** What a mistake would do: the firm is not said, or taken back, before the query. */
const forget = (tx: Transaction<Database>) =>
  sql`select set_config('app.firm', '', true), set_config('app.program', '', true)`.execute(tx)

describe('a query without a condition', () => {
  test('gets rows of every table for the firm they belong to', async () => {
    const seen = await rowsSeenBy(principals.firm)
    expect(tables).toEqual(expect.arrayContaining(['field_test', 'context_snapshot', 'ledger_entry', 'idempotency']))
    for (const table of [
      'field_test',
      'context_snapshot',
      'ledger_entry',
      'idempotency',
      'plant',
      'firm_plant',
      'tester',
    ])
      expect(seen[table], table).toBe(1)
  })

  test('gets nothing for another firm, and nothing for a program that was given nothing', async () => {
    for (const principal of [firmB, principals.program]) {
      for (const [table, n] of Object.entries(await rowsSeenBy(principal))) expect([table, n]).toEqual([table, 0])
    }
  })

  test('gets nothing where the firm was forgotten', async () => {
    for (const principal of [principals.firm, principals.program]) {
      for (const [table, n] of Object.entries(await rowsSeenBy(principal, forget)))
        expect([table, n]).toEqual([table, 0])
    }
  })

  test('gets nothing where the setting names nobody', async () => {
    const nobody = (tx: Transaction<Database>) =>
      sql`select set_config('app.firm', ${service.deps.newId()}, true)`.execute(tx)
    for (const [table, n] of Object.entries(await rowsSeenBy(principals.firm, nobody)))
      expect([table, n]).toEqual([table, 0])
  })

  test('gets the same after all that: nothing is left on the connections', async () => {
    const [first, ...others] = await Promise.all(Array.from({ length: 12 }, () => rowsSeenBy(principals.firm)))
    for (const other of others) expect(other).toEqual(first)
    expect(await rowsSeenBy(firmB)).toEqual(Object.fromEntries(tables.map((table) => [table, 0])))
  })
})

describe('what was written stays', () => {
  // Results are evaluated from sheet and context, whose hashes stand in the test; findings are a column of the test.
  const changes = [
    'update field_test set findings = findings',
    "update field_test set raw = raw, soundness = 'sound'",
    'update field_test set efficiency = 0.99',
    'delete from field_test',
    'truncate field_test cascade',
    'update context_snapshot set body = body',
    'delete from context_snapshot',
    'truncate context_snapshot cascade',
    'update ledger_entry set entry = entry',
    'delete from ledger_entry',
    'truncate ledger_entry',
    'update ledger_tile set root = root',
    'delete from ledger_tile',
    'truncate ledger_tile',
    "update ledger_checkpoint set note = 'x'",
    'delete from ledger_checkpoint',
    'truncate ledger_checkpoint',
    'delete from ledger_tree',
    'truncate ledger_tree',
    "update read_log set operation = 'tests.list'",
    'delete from read_log',
    'truncate read_log',
    'delete from read_log_head',
    'truncate read_log_head',
  ]
  const refused = /permission denied|append-only/

  test.each(ROLES)('for the role %s', async (role) => {
    const run = (change: RawBuilder<unknown>) => as(principals[role], (tx) => change.execute(tx))
    for (const change of changes) await expect(run(sql.raw(change)), change).rejects.toThrow(refused)
  })

  test('for the writer, the gate and the integrator', async () => {
    const { writer, gate, integrator } = service.deps.databases
    for (const change of changes) {
      await expect<Promise<QueryResult<QueryResultRow>>>(writer.query(change), change).rejects.toThrow(refused)
      await expect<Promise<QueryResult<QueryResultRow>>>(integrator.query(change), change).rejects.toThrow(refused)
      await expect(sql.raw(change).execute(gate), change).rejects.toThrow(refused)
    }
  })

  test('and the writer reads of what it writes the places in the ledger alone, the gate nothing but keys', async () => {
    const { writer, gate } = service.deps.databases
    expect((await writer.query('select index, kind, subject from ledger_entry')).rowCount).toBeGreaterThan(0)
    for (const table of ['field_test', 'context_snapshot', 'ledger_entry', 'read_log']) {
      await expect(writer.query(`select * from ${table}`), table).rejects.toThrow(/permission denied/)
      await expect(sql`select count(*) from ${sql.table(table)}`.execute(gate), table).rejects.toThrow(
        /permission denied/,
      )
    }
  })

  test('and the integrator sees nothing but entries and reads, sets nothing back, and adds no entry but of a key or an hour', async () => {
    const { integrator } = service.deps.databases
    for (const table of tables.filter((name) => name !== 'ledger_entry' && name !== 'read_log')) {
      await expect(integrator.query(`select count(*) from ${table}`), table).rejects.toThrow(/permission denied/)
    }
    await expect(integrator.query("update ledger_tree set size = 0, peaks = ''")).rejects.toThrow(/only grows/)
    await expect(integrator.query('update ledger_head set next = 0')).rejects.toThrow(/only grows/)
    await expect(integrator.query("update read_log_head set hour = '1969-01-01T00:00Z'")).rejects.toThrow(/only grows/)
    await expect(integrator.query('update read_log_head set next = 0')).rejects.toThrow(/permission denied/)
    for (const [kind, firm] of [
      ['test', null],
      ['signing-key', principals.firm.firmId],
      ['read-log', principals.firm.firmId],
    ]) {
      const entry = Buffer.from('{}')
      const added = integrator.query(
        `insert into ledger_entry (index, leaf_hash, entry, kind, firm_id)
         values (1000, sha256('\\x00'::bytea || $1), $1, $2, $3)`,
        [entry, kind, firm],
      )
      await expect(added, String(kind)).rejects.toThrow(/row-level security/)
    }
  })
})
