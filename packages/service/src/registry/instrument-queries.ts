/** What is asked of instruments, their revisions and their checks; one function a question. */
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Database, Instrument, InstrumentCheck, Json } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

type Tx = Transaction<Database>

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

/** The instrument, locked until the end of the transaction. */
export async function lockInstrument(tx: Tx, id: string): Promise<InstrumentRow | undefined> {
  return instruments(tx).where('instrument.id', '=', id).forUpdate('instrument').executeTakeFirst()
}

export async function setInstrumentKind(tx: Tx, row: InstrumentRow): Promise<InstrumentRow> {
  await tx.updateTable('instrument').set({ kind: row.kind }).where('id', '=', row.id).execute()
  return row
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

/** What held of an instrument on a day: the greatest (effective_from, revision) up to it. */
export async function findRevisionOn(
  tx: Tx,
  instrumentId: string,
  day: string,
): Promise<{ readonly revision: number; readonly facts: Json } | undefined> {
  return tx
    .selectFrom('instrument_revision')
    .select(['revision', 'facts'])
    .where('instrument_id', '=', instrumentId)
    .where('effective_from', '<=', day)
    .orderBy('effective_from', 'desc')
    .orderBy('revision', 'desc')
    .executeTakeFirst()
}

export async function insertCheck(tx: Tx, row: Selectable<InstrumentCheck>): Promise<void> {
  await tx.insertInto('instrument_check').values(row).execute()
}

export async function listChecks(
  tx: Tx,
  instrumentId: string,
  { after, limit }: Part,
): Promise<Selectable<InstrumentCheck>[]> {
  return tx
    .selectFrom('instrument_check')
    .selectAll()
    .where('instrument_id', '=', instrumentId)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}
