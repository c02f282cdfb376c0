/** What is asked of tests given to programs. Turns are added and never changed; the last one counts. */
import { type Insertable, type Selectable, sql, type Transaction } from 'kysely'
import type { Database, TestProgram } from '../db/schema.ts'
import { withVersionsOf } from '../db/version-chain.ts'

type Tx = Transaction<Database>
export type TurnRow = Pick<
  Selectable<TestProgram>,
  'test_id' | 'program_id' | 'turn' | 'consent' | 'consented_at' | 'evidence' | 'recorded_at'
>

/** The test with its firm and day, where the caller may see it. */
export async function findGivable(
  tx: Tx,
  testId: string,
): Promise<{ readonly firm_id: string; readonly tested_on: string } | undefined> {
  return tx.selectFrom('field_test').select(['firm_id', 'tested_on']).where('id', '=', testId).executeTakeFirst()
}

export async function isProgram(tx: Tx, id: string): Promise<boolean> {
  return (await tx.selectFrom('program').select('id').where('id', '=', id).executeTakeFirst()) !== undefined
}

const turns = (tx: Tx, testId: string) =>
  tx
    .selectFrom('test_program')
    .select(['test_id', 'program_id', 'turn', 'consent', 'consented_at', 'evidence', 'recorded_at'])
    .where('test_id', '=', testId)

export async function findLastTurn(tx: Tx, testId: string, programId: string): Promise<TurnRow | undefined> {
  return turns(tx, testId).where('program_id', '=', programId).orderBy('turn', 'desc').limit(1).executeTakeFirst()
}

/** Adds a turn; answers false where another was added at the same moment. */
export async function insertTurn(tx: Tx, row: Insertable<TestProgram>): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('test_program')
    .values(row)
    .onConflict((conflict) => conflict.doNothing())
    .executeTakeFirst()
  return Number(numInsertedOrUpdatedRows) === 1
}

/** Turns of a test in order of program and turn. */
export async function listTurns(
  tx: Tx,
  testId: string,
  after: { readonly programId: string; readonly turn: number } | undefined,
  limit: number,
): Promise<TurnRow[]> {
  return turns(tx, testId)
    .$if(after !== undefined, (query) =>
      query.where(sql<boolean>`(program_id, turn) > (${after!.programId}::uuid, ${after!.turn}::smallint)`),
    )
    .orderBy('program_id')
    .orderBy('turn')
    .limit(limit)
    .execute()
}

export interface GivenVersion {
  readonly test_id: string
  readonly firm_id: string
  readonly tested_on: string
  /** The turn by which the program has it. */
  readonly turn: number
}

/** The other versions of the test that the program has now. */
export async function otherVersionsGiven(tx: Tx, testId: string, programId: string): Promise<GivenVersion[]> {
  const { rows } = await sql<GivenVersion>`
    ${withVersionsOf(testId)}
    select test.id as test_id, test.firm_id, test.tested_on, last.turn
    from version
    join field_test test on test.id = version.id
    join lateral (
      select turn, consent from test_program
      where test_id = test.id and program_id = ${programId}
      order by turn desc limit 1
    ) last on last.consent = 'given'
    where test.id <> ${testId}`.execute(tx)
  return rows
}
