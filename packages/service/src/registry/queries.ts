/** What is asked of firms, programs and testers; one function a question. Row-level security is the wall. */
import type { Qualification } from '@liftledger/calc'
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Static } from 'typebox'
import type { Database, Firm, Program, Tester } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

type Tx = Transaction<Database>
export type Held = Static<typeof Qualification>

export async function insertFirm(tx: Tx, row: Selectable<Firm>): Promise<void> {
  await tx.insertInto('firm').values(row).execute()
}

export async function findFirm(tx: Tx, id: string): Promise<Selectable<Firm> | undefined> {
  return tx.selectFrom('firm').selectAll().where('id', '=', id).executeTakeFirst()
}

export async function listFirms(tx: Tx, { after, limit }: Part): Promise<Selectable<Firm>[]> {
  return tx
    .selectFrom('firm')
    .selectAll()
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

/** The firm, locked until the end of the transaction. */
export async function lockFirm(tx: Tx, id: string): Promise<Selectable<Firm> | undefined> {
  return tx.selectFrom('firm').selectAll().where('id', '=', id).forUpdate().executeTakeFirst()
}

export async function renameFirm(tx: Tx, row: Selectable<Firm>): Promise<Selectable<Firm>> {
  await tx.updateTable('firm').set({ name: row.name }).where('id', '=', row.id).execute()
  return row
}

export async function insertProgram(tx: Tx, row: Selectable<Program>): Promise<void> {
  await tx.insertInto('program').values(row).execute()
}

export async function listPrograms(tx: Tx, { after, limit }: Part): Promise<Selectable<Program>[]> {
  return tx
    .selectFrom('program')
    .selectAll()
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

export async function findProgram(tx: Tx, id: string): Promise<Selectable<Program> | undefined> {
  return tx.selectFrom('program').selectAll().where('id', '=', id).executeTakeFirst()
}

/** The program, locked until the end of the transaction. */
export async function lockProgram(tx: Tx, id: string): Promise<Selectable<Program> | undefined> {
  return tx.selectFrom('program').selectAll().where('id', '=', id).forUpdate().executeTakeFirst()
}

export async function renameProgram(tx: Tx, row: Selectable<Program>): Promise<Selectable<Program>> {
  await tx.updateTable('program').set({ name: row.name }).where('id', '=', row.id).execute()
  return row
}

export interface TesterRow extends Selectable<Tester> {
  readonly held: Held[]
}

/** The newest twenty qualifications that were not withdrawn; of a correction, the last word. */
const held = sql<Held[]>`(
  select coalesce(json_agg(json_build_object('code', q.code, 'validFrom', q.valid_from, 'validUntil', q.valid_until)), '[]')
  from (
    select code, valid_from, valid_until
    from (
      select distinct on (code, valid_from) code, valid_from, valid_until, withdrawn
      from tester_qualification
      where tester_id = tester.id
      order by code, valid_from, revision desc
    ) last_word
    where not withdrawn
    order by valid_from desc, code
    limit 20
  ) q
)`

const testers = (tx: Tx) => tx.selectFrom('tester').selectAll().select(held.as('held'))

export async function insertTester(tx: Tx, row: Selectable<Tester>): Promise<void> {
  await tx.insertInto('tester').values(row).execute()
}

export async function findTester(tx: Tx, id: string): Promise<TesterRow | undefined> {
  return testers(tx).where('id', '=', id).executeTakeFirst()
}

/** The tester, locked until the end of the transaction. */
export async function lockTester(tx: Tx, id: string): Promise<TesterRow | undefined> {
  return testers(tx).where('id', '=', id).forUpdate('tester').executeTakeFirst()
}

/** Gives, changes or erases the name. */
export async function renameTester(tx: Tx, row: TesterRow): Promise<TesterRow> {
  await tx.updateTable('tester').set({ name: row.name }).where('id', '=', row.id).execute()
  return row
}

export async function listTesters(tx: Tx, { after, limit }: Part, code: string | undefined): Promise<TesterRow[]> {
  return testers(tx)
    .$if(code !== undefined, (query) => query.where('code', '=', code!))
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

/** Adds a qualification; one of the same code and first day is corrected by a higher revision. */
export async function insertQualification(
  tx: Tx,
  row: { firmId: string; testerId: string; keyId: string; at: Date },
  { code, validFrom, validUntil }: Held,
): Promise<void> {
  await sql`
    insert into tester_qualification (firm_id, tester_id, code, valid_from, valid_until, revision, key_id, recorded_at)
    select ${row.firmId}, ${row.testerId}, ${code}, ${validFrom}, ${validUntil},
           coalesce(max(revision), 0) + 1, ${row.keyId}, ${row.at}
    from tester_qualification
    where tester_id = ${row.testerId} and code = ${code} and valid_from = ${validFrom}
  `.execute(tx)
}
