/** What is asked of decisions: as a program its own, as a firm those on its tests, as an auditor all. */
import type { Selectable, Transaction } from 'kysely'
import type { Database, FindingDecision } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'
import { findingsFromRecord } from '../record-findings/told.ts'

type Tx = Transaction<Database>
export type DecisionRow = Omit<Selectable<FindingDecision>, 'leaf_hash'>

const decisions = (tx: Tx, testId: string) =>
  tx
    .selectFrom('finding_decision')
    .select(['id', 'test_id', 'program_id', 'finding', 'run', 'place', 'turn', 'outcome', 'sha256', 'salt', 'words'])
    .select(['firm_id', 'key_id', 'decided_at', 'erased_at'])
    .where('test_id', '=', testId)

export interface ToldFinding {
  readonly id: string
  readonly severity: string
  readonly run?: number | undefined
  readonly place: string
}

export interface TestToDecide {
  readonly firm_id: string
  /** As stored: id, severity, run and place of each; those of the evaluation, and those from the record. */
  readonly findings: readonly ToldFinding[]
  readonly how: string | null
  readonly successor: string | null
}

/** The test, with what became of it, where the caller may see it. */
export async function findTestToDecide(tx: Tx, testId: string): Promise<TestToDecide | undefined> {
  const row = await tx
    .selectFrom('field_test as test')
    .leftJoin('test_closure as closure', 'closure.test_id', 'test.id')
    .select(['test.firm_id', 'test.findings', 'closure.how', 'closure.successor'])
    .where('test.id', '=', testId)
    .executeTakeFirst()
  if (row === undefined) return undefined
  const findings = [...(row.findings as unknown as ToldFinding[]), ...(await findingsFromRecord(tx, testId))]
  return { ...row, findings }
}

export async function findDecision(tx: Tx, testId: string, id: string): Promise<DecisionRow | undefined> {
  return decisions(tx, testId).where('id', '=', id).executeTakeFirst()
}

/** The last turn on a finding; 0 where nothing was decided. */
export async function findLastTurn(
  tx: Tx,
  testId: string,
  about: { readonly finding: string; readonly run: number | undefined; readonly place: string },
): Promise<number> {
  const row = await tx
    .selectFrom('finding_decision')
    .select((eb) => eb.fn.max('turn').as('turn'))
    .where('test_id', '=', testId)
    .where('finding', '=', about.finding)
    .where('place', '=', about.place)
    .where('run', 'is not distinct from', about.run ?? null)
    .executeTakeFirst()
  return row?.turn ?? 0
}

export async function listDecisions(tx: Tx, testId: string, { after, limit }: Part): Promise<DecisionRow[]> {
  return decisions(tx, testId)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}
