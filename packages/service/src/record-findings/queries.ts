/** What is asked of comparisons with the record. Row-level security decides what there is. */
import type { Selectable, Transaction } from 'kysely'
import type { Database, RecordComparison } from '../db/schema.ts'

type Tx = Transaction<Database>

/** Whether the caller sees the test, and how it was compared; undefined where he does not see it. */
export async function findComparison(
  tx: Tx,
  testId: string,
): Promise<{ readonly comparison: Selectable<RecordComparison> | undefined } | undefined> {
  const test = await tx.selectFrom('field_test').select('id').where('id', '=', testId).executeTakeFirst()
  if (test === undefined) return undefined
  const comparison = await tx
    .selectFrom('record_comparison')
    .selectAll()
    .where('test_id', '=', testId)
    .executeTakeFirst()
  return { comparison }
}

/** The findings in their order, with what they rest on where the caller may see that. */
export async function listWithBasis(tx: Tx, testId: string) {
  return tx
    .selectFrom('record_finding as found')
    .leftJoin('record_finding_basis as basis', (join) =>
      join.onRef('basis.test_id', '=', 'found.test_id').onRef('basis.n', '=', 'found.n'),
    )
    .selectAll('found')
    .select(['basis.against', 'basis.figures as figuresOfOthers'])
    .where('found.test_id', '=', testId)
    .orderBy('found.n')
    .execute()
}
export type FoundRow = Awaited<ReturnType<typeof listWithBasis>>[number]
