/** The tests behind a figure, for those who may see them: which count, and why the others don't. */
import { CompiledQuery, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { byPlant, FACT_COLUMNS, type FactRow } from './facts.ts'
import type { Question } from './gather.ts'
import { conditions } from './matching.ts'
import { consider, historyOf, type Scope } from './plant.ts'
import type { Reason } from './sums.ts'

export interface ListedTest {
  readonly place: number
  readonly test: FactRow
  readonly left: Reason | undefined
}

/** Tests in the order in which they were stored, after a place. */
export async function listTests(
  tx: Transaction<Database>,
  scope: Scope,
  { filters }: Question,
  { after, limit }: { readonly after: number; readonly limit: number },
): Promise<ListedTest[]> {
  const values: unknown[] = [after, limit]
  const where = conditions(filters, values)
  const { rows: page } = await tx.executeQuery<FactRow>(
    CompiledQuery.raw(
      `select ${FACT_COLUMNS} from ll.test_fact where happened = 'test' and place > $1 ${where} order by place limit $2`,
      values,
    ),
  )
  const { rows } = await tx.executeQuery<FactRow>(
    CompiledQuery.raw(
      `select ${FACT_COLUMNS} from ll.test_fact where plant_id = any ($1::uuid[]) order by plant_id, place`,
      [[...new Set(page.map(({ plant_id }) => plant_id))]],
    ),
  )
  const known = new Map<string, Reason | undefined>()
  for (const own of byPlant(rows)) {
    for (const { test, left } of consider(historyOf(own), scope)) known.set(test.test_id, left)
  }
  return page
    .filter(({ test_id }) => known.has(test_id))
    .map((test) => ({ place: Number(test.place), test, left: known.get(test.test_id) }))
}
