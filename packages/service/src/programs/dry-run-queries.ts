/** What is asked of dry runs. They are a program’s own; an auditor sees them too. */
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Database, RuleSetDryRun } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'
import type { DryRunChange, DryRunSummary } from './dry-run-schemas.ts'

type Tx = Transaction<Database>
export type DryRunRow = Omit<Selectable<RuleSetDryRun>, 'summary'> & { readonly summary: unknown }

export async function insertRun(
  tx: Tx,
  row: Pick<DryRunRow, 'id' | 'program_id' | 'rule_set_id' | 'content_sha256' | 'key_id' | 'started_at' | 'beat_at'>,
): Promise<void> {
  await tx.insertInto('rule_set_dry_run').values(row).execute()
}

export async function findRun(tx: Tx, id: string): Promise<DryRunRow | undefined> {
  return tx.selectFrom('rule_set_dry_run').selectAll().where('id', '=', id).executeTakeFirst()
}

/** Id of the last dry run of these very rules that came to its end. */
export async function findFinishedRun(tx: Tx, ruleSetId: string, hash: Buffer): Promise<string | undefined> {
  const row = await tx
    .selectFrom('rule_set_dry_run')
    .select('id')
    .where('rule_set_id', '=', ruleSetId)
    .where('content_sha256', '=', hash)
    .where('summary', 'is not', null)
    .orderBy('id', 'desc')
    .limit(1)
    .executeTakeFirst()
  return row?.id
}

/** Whether one is at work that was heard of since. */
export async function isRunning(tx: Tx, ruleSetId: string, heardSince: Date): Promise<boolean> {
  const row = await tx
    .selectFrom('rule_set_dry_run')
    .select('id')
    .where('rule_set_id', '=', ruleSetId)
    .where('finished_at', 'is', null)
    .where('beat_at', '>', heardSince)
    .executeTakeFirst()
  return row !== undefined
}

export interface Found {
  readonly testId: string
  readonly change: Omit<DryRunChange, 'testId'>
}

/** Keeps what was found since, and how far it is. */
export async function goOn(
  tx: Tx,
  run: { readonly id: string; readonly programId: string; readonly at: Date; readonly judged: number },
  found: readonly Found[],
): Promise<void> {
  if (found.length > 0) {
    const rows = found.map(({ testId, change }) => ({
      program_id: run.programId,
      dry_run_id: run.id,
      test_id: testId,
      change: JSON.stringify(change),
    }))
    await tx.insertInto('rule_set_dry_run_change').values(rows).execute()
  }
  await tx
    .updateTable('rule_set_dry_run')
    .set({ beat_at: run.at, judged: run.judged })
    .where('id', '=', run.id)
    .execute()
}

export async function endRun(
  tx: Tx,
  {
    id,
    at,
    ...end
  }: { readonly id: string; readonly at: Date } & ({ readonly summary: DryRunSummary } | { readonly failed: string }),
): Promise<void> {
  const how = 'summary' in end ? { summary: JSON.stringify(end.summary) } : { failed: end.failed }
  await tx
    .updateTable('rule_set_dry_run')
    .set({ beat_at: at, finished_at: at, ...how })
    .where('id', '=', id)
    .where('finished_at', 'is', null)
    .execute()
}

export interface ChangeRow {
  readonly id: string
  readonly change: Omit<DryRunChange, 'testId'>
}

/** Tests that would be judged otherwise, and that the reader still sees, in order of their ids. */
export async function listRunChanges(tx: Tx, runId: string, { after, limit }: Part): Promise<ChangeRow[]> {
  const { rows } = await sql<ChangeRow>`
    select change.test_id as id, change.change from rule_set_dry_run_change change
    join field_test test on test.id = change.test_id
    where change.dry_run_id = ${runId} ${after === undefined ? sql`` : sql`and change.test_id > ${after}`}
    order by change.test_id limit ${limit}`.execute(tx)
  return rows
}
