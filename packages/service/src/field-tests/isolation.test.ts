/** What each role sees and may change, asked of the database itself. */
import { randomUUID } from 'node:crypto'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { rowsSaidAndChanged } from '../../../../tests/setup/append-only-rows.ts'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { OWNER_ROLE, POOL_ROLES } from '../db/roles.ts'
import { admin, auditor, connect, keeper, type RegisteredFirm, registerFirm, registerProgram } from '../db/testing.ts'
import type { Principal } from '../http/principal.ts'
import { submissionOf } from './testing.ts'
import { write } from './write.ts'

/** Tables whose rows are never changed and never removed. */
const APPEND_ONLY = [
  'access_decision',
  'access_request',
  'context_snapshot',
  'evaluation_document',
  'field_test',
  'instrument_check',
  'instrument_revision',
  'ledger_checkpoint',
  'ledger_entry',
  'ledger_tile',
  'plant_equipment',
  'plant_history_consent',
  'plant_meter',
  'read_log',
  'registry_change',
  'test_closure',
  'test_fact',
  'test_program',
  'tester_qualification',
]

let database: ClonedDatabase
let databases: Databases
let ours: RegisteredFirm
let theirs: RegisteredFirm
let program: Principal & { programId: string }
let [given, kept, foreign] = ['', '', '']

const consent = (firm: RegisteredFirm, testId: string, turn: number, word: 'given' | 'withdrawn') =>
  databases.asPrincipal(firm.principal, (tx) =>
    tx
      .insertInto('test_program')
      .values({
        test_id: testId,
        program_id: program.programId,
        firm_id: firm.firmId,
        tested_on: '2026-05-04',
        turn,
        consent: word,
        consented_at: new Date('2026-05-04T18:00:00Z'),
        key_id: firm.principal.keyId,
      })
      .execute(),
  )

const testsSeenBy = async (principal: Principal): Promise<string[]> => {
  const rows = await databases.asPrincipal(principal, (tx) => tx.selectFrom('field_test').select('id').execute())
  return rows.map((row) => row.id).sort()
}

beforeAll(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log: pino({ level: 'silent' }) })
  ours = await registerFirm(databases)
  theirs = await registerFirm(databases)
  program = await registerProgram(databases)
  const written = await write(databases.writer, [submissionOf(ours), submissionOf(ours), submissionOf(theirs)])
  ;[given, kept, foreign] = written.map((one) => one.id) as [string, string, string]
  await fillAppendOnlyTables()
  await consent(ours, given, 1, 'given')
})
afterAll(async () => {
  await databases.close()
  await database.drop()
})

async function fillAppendOnlyTables(): Promise<void> {
  await databases.integrator.query("insert into ll.ledger_checkpoint values (1, sha256('r'), 'signed', now())")
  await databases.integrator.query(
    "insert into ll.ledger_tile values (0, 0, decode(repeat('00', 8192), 'hex'), sha256('r'))",
  )
  await databases.writer.query(
    `select ll.write_reads(array[now()], array['auditaudit01'], array['auditor'], array[null::uuid], array[null::uuid],
                           array['tests.get'], array[$1::uuid], array[null::uuid], array[null], array[null::int],
                           array['request-0001'])`,
    [given],
  )
  const instrument = { id: randomUUID(), firm_id: ours.firmId, code: 'I-1', kind: 'pressure-gauge' }
  const { meter, check, shared, change, request, decision } = rowsSaidAndChanged(ours, theirs)
  const revision = { revision: 1, effective_from: '2026-01-01', facts: JSON.stringify({}), key_id: 'firmfirmfirm' }
  await databases.asPrincipal(ours.principal, async (tx) => {
    await tx
      .insertInto('plant_equipment')
      .values({ ...revision, plant_id: ours.plantId, recorded_by: ours.firmId })
      .execute()
    await tx.insertInto('instrument').values(instrument).execute()
    await tx
      .insertInto('instrument_revision')
      .values({ ...revision, firm_id: ours.firmId, instrument_id: instrument.id })
      .execute()
    await tx
      .insertInto('tester_qualification')
      .values({
        firm_id: ours.firmId,
        tester_id: ours.testerId,
        code: 'field-tester',
        valid_from: '2026-01-01',
        valid_until: '2026-12-31',
        key_id: 'firmfirmfirm',
      })
      .execute()
    await tx.insertInto('plant_meter').values(meter).execute()
    await tx
      .insertInto('instrument_check')
      .values({ ...check, instrument_id: instrument.id })
      .execute()
    await tx.insertInto('plant_history_consent').values(shared).execute()
    await tx.insertInto('registry_change').values(change).execute()
    await tx.insertInto('access_request').values(request).execute()
  })
  await databases.asPrincipal(admin, (tx) => tx.insertInto('access_decision').values(decision).execute())
  await databases.writer.query(
    `insert into ll.test_closure (test_id, firm_id, how, reason, key_id, closed_at)
     values ($1, $2, 'withdrawn', 'sent-twice', 'firmfirmfirm', now())`,
    [kept, ours.firmId],
  )
  await databases.writer.query(`insert into ll.evaluation_document values ($1, $2, 'zstd', '\\x00', now())`, [
    kept,
    ours.firmId,
  ])
}

describe('rows of a test', () => {
  test('are seen by their firm, and by no other', async () => {
    expect(await testsSeenBy(ours.principal)).toEqual([given, kept].sort())
    expect(await testsSeenBy(theirs.principal)).toEqual([foreign])
  })
  test('are seen by auditor and keeper', async () => {
    for (const reader of [auditor, keeper]) expect(await testsSeenBy(reader)).toEqual([given, kept, foreign].sort())
  })
  test('are nothing to admin, gate and writer', async () => {
    await expect(testsSeenBy(admin)).rejects.toThrow(/permission denied/)
    for (const role of ['ll_gate', 'll_writer']) {
      const client = await connect(database.url, role)
      await expect(client.query('select id from field_test')).rejects.toThrow(/permission denied/)
    }
  })
  test('are seen by a program from the consent to its withdrawal', async () => {
    expect(await testsSeenBy(program)).toEqual([given])
    await consent(ours, given, 2, 'withdrawn')
    expect(await testsSeenBy(program)).toEqual([])
    await consent(ours, given, 3, 'given')
    expect(await testsSeenBy(program)).toEqual([given])
    expect(await testsSeenBy({ ...program, programId: randomUUID() })).toEqual([])
  })
})

describe('a consent', () => {
  test('alternates with its withdrawal and leaves no turn out', async () => {
    await expect(consent(ours, kept, 2, 'withdrawn')).rejects.toThrow(/foreign key/)
    await expect(consent(ours, kept, 1, 'withdrawn')).rejects.toThrow(/alternation_check/)
  })
  test("can't be given for another firm's test", async () => {
    await expect(consent(theirs, given, 1, 'given')).rejects.toThrow(/foreign key|duplicate key/)
    await expect(consent({ ...ours, principal: theirs.principal }, kept, 1, 'given')).rejects.toThrow(
      /row-level security/,
    )
  })
})

test('a program sees with a given test its plant, equipment, context, ledger entry and firm, and nothing of others', async () => {
  const count = (
    principal: Principal,
    table: 'plant' | 'plant_equipment' | 'context_snapshot' | 'ledger_entry' | 'firm',
  ) =>
    databases.asPrincipal(principal, (tx) =>
      tx
        .selectFrom(table)
        .select((eb) => eb.fn.countAll<number>().as('n'))
        .executeTakeFirstOrThrow(),
    )
  for (const table of ['plant', 'plant_equipment', 'context_snapshot', 'ledger_entry', 'firm'] as const) {
    expect([table, (await count(program, table)).n]).toEqual([table, 1])
    expect([table, (await count({ ...program, programId: randomUUID() }, table)).n]).toEqual([table, 0])
  }
  await expect(
    databases.asPrincipal(program, (tx) => tx.selectFrom('test_note').selectAll().execute()),
  ).rejects.toThrow(/permission denied/)
})

describe('what a connection sees depends on the transaction', () => {
  const readers = [
    { role: 'll_firm', setting: 'app.firm', id: () => ours.firmId, own: 2 },
    { role: 'll_program', setting: 'app.program', id: () => program.programId, own: 1 },
  ]
  test.each(readers)(
    'of $role: nothing without context, its own with it, nothing after the commit',
    async ({ role, setting, id, own }) => {
      const client = await connect(database.url, role)
      const seen = async () => (await client.query('select count(*)::int as n from field_test')).rows[0].n
      expect(await seen()).toBe(0)
      await client.query('begin')
      expect(await seen()).toBe(0)
      await client.query('select set_config($1, $2, true)', [setting, id()])
      expect(await seen()).toBe(own)
      await client.query('commit')
      expect(await seen()).toBe(0)
      await client.query("select set_config($1, '', false)", [setting])
      expect(await seen()).toBe(0)
    },
  )

  test.each(POOL_ROLES)('and %s is not left by reset role or discard all', async (role) => {
    const client = await connect(database.url, role)
    for (const way of ['reset role', 'discard all']) {
      await client.query(way)
      expect((await client.query('select current_user::text as role')).rows).toEqual([{ role }])
    }
  })

  test('and forced row-level security hides all rows from the owner too', async () => {
    const client = await connect(database.url, OWNER_ROLE)
    expect((await client.query('select * from field_test')).rows).toEqual([])
    expect((await client.query('select * from ledger_entry')).rows).toEqual([])
  })
})

describe('append-only tables', () => {
  test('are the ones with the guard', async () => {
    const client = await connect(database.url)
    const { rows } = await client.query(
      `select relname::text as name from pg_trigger join pg_class on pg_class.oid = tgrelid
       where tgname = 'append_only' and tgenabled = 'A' and relnamespace = 'll'::regnamespace order by 1`,
    )
    const alsoGuarded = ['finding_decision', 'ledger_head', 'ledger_tree', 'read_log_head', 'test_note']
    // And these where there are rows of them: programs/rule-set-guards.test.ts, quality-visits, tests/disclosure, record-findings.
    const programs = ['quality_draw', 'quality_visit_step', 'rule_set', 'rule_set_dry_run', 'rule_set_dry_run_change']
    const published = ['published_cell', 'published_peers', 'published_test', 'statistics_publication']
    const found = ['reading_window', 'record_comparison', 'record_finding', 'record_finding_basis']
    const guarded = [...APPEND_ONLY, ...alsoGuarded, ...programs, ...published, ...found]
    expect(rows.map(({ name }) => name)).toEqual(guarded.sort())
  })

  const deeds = (table: string) =>
    ['update $ set key_id = key_id', 'delete from $', 'truncate $ cascade'].map((deed) => deed.replace('$', table))
  const columnOf: Record<string, string> = {
    context_snapshot: 'body',
    evaluation_document: 'body',
    ledger_checkpoint: 'note',
    ledger_entry: 'entry',
    ledger_tile: 'root',
    test_fact: 'groups',
  }
  const changes = (table: string) => deeds(table).map((deed) => deed.replaceAll('key_id', columnOf[table] ?? 'key_id'))

  test.each([...POOL_ROLES, OWNER_ROLE, undefined])('refuse update, delete and truncate by %s', async (role) => {
    const client = await connect(database.url, role)
    await client.query('set search_path = ll')
    for (const table of APPEND_ONLY) {
      for (const deed of changes(table)) {
        const reason = role?.startsWith('ll_') && role !== OWNER_ROLE ? /permission denied/ : /append-only/
        await expect(client.query(deed), deed).rejects.toThrow(reason)
      }
    }
  })

  test('have rows, so that the refusals mean something', async () => {
    const client = await connect(database.url)
    for (const table of APPEND_ONLY) {
      expect([table, (await client.query(`select from ll.${table}`)).rowCount]).not.toEqual([table, 0])
    }
  })

  test('are guarded also in a session that replays changes', async () => {
    const client = await connect(database.url)
    await client.query('set session_replication_role = replica')
    await expect(client.query('delete from ll.field_test')).rejects.toThrow(/append-only/)
  })
})

test('the tree of the ledger only grows', async () => {
  const client = await connect(database.url, 'll_integrator')
  await client.query("update ledger_tree set size = 2, peaks = sha256('')")
  await expect(client.query("update ledger_tree set size = 1, peaks = sha256('')")).rejects.toThrow(/only grows/)
  await expect(client.query('delete from ledger_tree')).rejects.toThrow(/permission denied/)
  await expect((await connect(database.url)).query('delete from ll.ledger_tree')).rejects.toThrow(/append-only/)
})

test('the ledger head only moves forward', async () => {
  const client = await connect(database.url, 'll_writer')
  await expect(client.query('update ledger_head set next = next - 1')).rejects.toThrow(/only grows/)
  await expect(client.query('delete from ledger_head')).rejects.toThrow(/permission denied/)
  await expect((await connect(database.url)).query('delete from ll.ledger_head')).rejects.toThrow(/append-only/)
})

test('the head of the read log only moves forward', async () => {
  const client = await connect(database.url, 'll_writer')
  await expect(client.query('update read_log_head set next = next - 1')).rejects.toThrow(/only grows/)
  await expect(client.query("update read_log_head set hour = hour - interval '1 hour'")).rejects.toThrow(/only grows/)
})

describe('a table with rows of one firm', () => {
  test('has forced row-level security, and a policy for every role that may touch it', async () => {
    const client = await connect(database.url)
    const { rows } = await client.query(
      `select c.relname::text as name, c.relrowsecurity and c.relforcerowsecurity as walled,
              array(select r from unnest($1::text[]) r
                    where (has_any_column_privilege(r, c.oid, 'SELECT, INSERT, UPDATE') or has_table_privilege(r, c.oid, 'DELETE'))
                      and not exists (select from pg_policies p
                                      where p.schemaname = 'll' and p.tablename = c.relname and r = any (p.roles))) as open
       from pg_class c where c.relnamespace = 'll'::regnamespace and c.relkind in ('r', 'p')`,
      [POOL_ROLES],
    )
    // Heads and hashes, which are nobody's.
    const firmless =
      'ledger_checkpoint ledger_head ledger_tile ledger_tree migration read_log_head statistics_fold'.split(' ')
    expect(rows.length).toBeGreaterThan(15)
    for (const { name, walled, open } of rows) {
      if (!firmless.includes(name)) expect({ name, walled, open }).toEqual({ name, walled: true, open: [] })
    }
    const { rows: withFirm } = await client.query(
      `select distinct table_name::text as name from information_schema.columns where table_schema = 'll' and column_name = 'firm_id'`,
    )
    expect(withFirm.filter(({ name }) => firmless.includes(name))).toEqual([])
  })

  test('has one policy a role and command, so that none adds to another', async () => {
    const client = await connect(database.url)
    const { rows } = await client.query(
      `select tablename, r, count(*)::int as n from pg_policies, unnest(roles) r,
              unnest(case cmd when 'ALL' then array['SELECT', 'INSERT', 'UPDATE', 'DELETE'] else array[cmd] end) command
       where schemaname = 'll' group by tablename, r, command having count(*) > 1`,
    )
    expect(rows).toEqual([])
  })
})

describe('a firm', () => {
  test("can't name another firm's plant or tester in a test", async () => {
    for (const change of [{ plantId: theirs.plantId }, { testerId: theirs.testerId }]) {
      await expect(write(databases.writer, [submissionOf(ours, change)])).rejects.toThrow(/foreign key constraint/)
    }
    expect(await testsSeenBy(ours.principal)).toHaveLength(2)
  })

  test("can't enter a row for another firm", async () => {
    const row = { id: randomUUID(), firm_id: theirs.firmId, code: 'T-9' }
    await expect(
      databases.asPrincipal(ours.principal, (tx) => tx.insertInto('tester').values(row).execute()),
    ).rejects.toThrow(/row-level security/)
  })

  test('sees a plant of others once it was given access, and gives none to itself', async () => {
    const plants = async (firm: RegisteredFirm) =>
      (await databases.asPrincipal(firm.principal, (tx) => tx.selectFrom('plant').select('id').execute()))
        .map(({ id }) => id)
        .sort()
    const give = (principal: Principal) =>
      databases.asPrincipal(principal, (tx) =>
        tx.insertInto('firm_plant').values({ firm_id: ours.firmId, plant_id: theirs.plantId }).execute(),
      )
    expect(await plants(ours)).toEqual([ours.plantId])
    for (const { principal } of [ours, theirs]) await expect(give(principal)).rejects.toThrow(/row-level security/)
    await give(admin)
    expect(await plants(ours)).toEqual([ours.plantId, theirs.plantId].sort())
    expect(await plants(theirs)).toEqual([theirs.plantId])
  })
})

test('the hash of a key is for the gate alone', async () => {
  const key = {
    id: 'abcdefghjkmn',
    hash: Buffer.alloc(32, 1),
    role: 'firm',
    firm_id: ours.firmId,
    scopes: ['tests:write'],
    name: 'Office',
    expires_at: new Date('2099-01-01T00:00:00Z'),
  }
  await databases.asPrincipal(admin, (tx) => tx.insertInto('api_key').values(key).execute())
  const keys = databases.gate.selectFrom('api_key').selectAll()
  const found = await keys.where('id', '=', key.id).executeTakeFirstOrThrow()
  expect(found).toMatchObject(key)
  await expect(databases.gate.selectFrom('firm').selectAll().execute()).rejects.toThrow(/permission denied/)
  for (const reader of [admin, auditor]) {
    await expect(
      databases.asPrincipal(reader, (tx) => tx.selectFrom('api_key').select('hash').execute()),
    ).rejects.toThrow(/permission denied/)
  }
  const orphan = { ...key, id: 'abcdefghjkmp', firm_id: null }
  await expect(databases.asPrincipal(admin, (tx) => tx.insertInto('api_key').values(orphan).execute())).rejects.toThrow(
    /speaks_for_check/,
  )
})
