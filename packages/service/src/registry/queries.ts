/** What is asked of firms, programs, testers and instruments; one function a question. Row-level security is the wall. */
import type { Qualification } from '@liftledger/calc'
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Static } from 'typebox'
import type { Database, Firm, Instrument, Json, Program, Tester } from '../db/schema.ts'
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

export async function findTesterByCode(tx: Tx, code: string): Promise<TesterRow | undefined> {
  return testers(tx).where('code', '=', code).executeTakeFirst()
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

export interface InstrumentRow extends Selectable<Instrument> {
  readonly revision: number
  readonly effective_from: string
  readonly facts: Json
}

/** Instruments with their newest revision: the greatest (effective_from, revision). */
const instruments = (tx: Tx) =>
  tx
    .selectFrom('instrument')
    .innerJoinLateral(
      (eb) =>
        eb
          .selectFrom('instrument_revision')
          .select(['revision', 'effective_from', 'facts'])
          .whereRef('instrument_id', '=', 'instrument.id')
          .orderBy('effective_from', 'desc')
          .orderBy('revision', 'desc')
          .limit(1)
          .as('newest'),
      (join) => join.onTrue(),
    )
    .selectAll('instrument')
    .select(['newest.revision', 'newest.effective_from', 'newest.facts'])

export async function insertInstrument(tx: Tx, row: Selectable<Instrument>): Promise<void> {
  await tx.insertInto('instrument').values(row).execute()
}

export async function findInstrument(tx: Tx, id: string): Promise<InstrumentRow | undefined> {
  return instruments(tx).where('instrument.id', '=', id).executeTakeFirst()
}

export async function listInstruments(
  tx: Tx,
  { after, limit }: Part,
  code: string | undefined,
): Promise<InstrumentRow[]> {
  return instruments(tx)
    .$if(code !== undefined, (query) => query.where('instrument.code', '=', code!))
    .$if(after !== undefined, (query) => query.where('instrument.id', '>', after!))
    .orderBy('instrument.id')
    .limit(limit)
    .execute()
}

export async function insertInstrumentRevision(
  tx: Tx,
  row: { firmId: string; instrumentId: string; effectiveFrom: string; facts: object; keyId: string; at: Date },
): Promise<void> {
  await sql`
    insert into instrument_revision (firm_id, instrument_id, revision, effective_from, facts, key_id, recorded_at)
    select ${row.firmId}, ${row.instrumentId}, coalesce(max(revision), 0) + 1,
           ${row.effectiveFrom}, ${JSON.stringify(row.facts)}, ${row.keyId}, ${row.at}
    from instrument_revision
    where instrument_id = ${row.instrumentId}
  `.execute(tx)
}
