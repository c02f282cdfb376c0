/** What was published, as it was kept. */

import type { Transaction } from 'kysely'
import type pg from 'pg'
import type { Database } from '../../db/schema.ts'
import type { FamilyId } from './families.ts'
import type { PublishedCell } from './make.ts'
import type { PeersCell } from './peers.ts'

export interface MonthRow {
  readonly month: string
  readonly published_at: Date
  readonly ledger_size: number
  readonly rules: Record<string, number>
  /** Cells by their mark; those told under an empty one. */
  readonly marks: Record<string, number>
}

const MONTHS = `select p.month, p.published_at, p.ledger_size, p.rules,
    (select coalesce(json_object_agg(mark, n), '{}') from (
       select coalesce(mark, '') as mark, count(*) as n from ll.published_cell where month = p.month group by 1) counted) as marks
  from ll.statistics_publication p`

/** Newest first, after a month. */
export async function listMonths(
  pool: pg.Pool,
  { after, limit }: { readonly after?: string | undefined; readonly limit: number },
): Promise<MonthRow[]> {
  const { rows } = await pool.query<MonthRow>({
    name: 'published_months',
    text: `${MONTHS} where $1::text is null or p.month < $1 order by p.month desc limit $2`,
    values: [after ?? null, limit],
  })
  return rows
}

export async function findMonth(pool: pg.Pool, month: string): Promise<MonthRow | undefined> {
  const { rows } = await pool.query<MonthRow>({
    name: 'published_month',
    text: `${MONTHS} where p.month = $1`,
    values: [month],
  })
  return rows[0]
}

export async function readCells(pool: pg.Pool, month: string, family: FamilyId): Promise<PublishedCell[]> {
  const { rows } = await pool.query<PublishedCell>({
    name: 'published_cells',
    text: `select family, driver, cell, told from ll.published_cell where month = $1 and family = $2
           order by driver, cell`,
    values: [month, family],
  })
  return rows
}

/** Undefined where the firm has no test in the publication. */
export async function findPeers(
  tx: Transaction<Database>,
  firm: string,
  month: string,
): Promise<readonly PeersCell[] | undefined> {
  const row = await tx
    .selectFrom('published_peers')
    .select('cells')
    .where('firm_id', '=', firm)
    .where('month', '=', month)
    .executeTakeFirst()
  return row?.cells as readonly PeersCell[] | undefined
}
