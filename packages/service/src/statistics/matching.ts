/** Rows of tests that filters let through, in SQL. */
import { CompiledQuery, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Dimension } from './dimensions.ts'

/** Where a dimension stands in a row. */
const COLUMN: Readonly<Record<Dimension, string>> = {
  driver: `split_part(groups, '|', 1)`,
  kind: `split_part(groups, '|', 2)`,
  region: `split_part(groups, '|', 3)`,
  'power-class': `split_part(groups, '|', 4)`,
  'flow-method': `split_part(groups, '|', 5)`,
  'level-method': `split_part(groups, '|', 6)`,
  'power-method': `split_part(groups, '|', 7)`,
  year: `to_char(tested_on, 'YYYY')`,
  firm: 'firm_id',
  tester: 'tester_id',
  plant: 'plant_id',
}
const IDS: ReadonlySet<Dimension> = new Set(['firm', 'tester', 'plant'])

/** Conditions for the filters; their values are added to `values`. */
export function conditions(filters: ReadonlyMap<Dimension, ReadonlySet<string>>, values: unknown[]): string {
  return [...filters]
    .map(([dimension, allowed]) => {
      values.push([...allowed])
      return `and ${COLUMN[dimension]} = any ($${values.length}::${IDS.has(dimension) ? 'uuid' : 'text'}[])`
    })
    .join(' ')
}

/** Plants with a test that the filters let through. */
export async function matchingPlants(
  tx: Transaction<Database>,
  filters: ReadonlyMap<Dimension, ReadonlySet<string>>,
): Promise<string[]> {
  const values: unknown[] = []
  const { rows } = await tx.executeQuery<{ plant_id: string }>(
    CompiledQuery.raw(
      `select distinct plant_id from ll.test_fact where happened = 'test' ${conditions(filters, values)}`,
      values,
    ),
  )
  return rows.map(({ plant_id }) => plant_id)
}
