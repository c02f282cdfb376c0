/** What is asked of the versions of a test. Row-level security decides which there are. */
import { sql, type Transaction } from 'kysely'
import type { Soundness } from '../db/read-tests.ts'
import type { Database } from '../db/schema.ts'
import { withVersionsOf } from '../db/version-chain.ts'
import { toWire } from '../http/ids.ts'
import type { Role } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { soundnessNow } from './queries.ts'

type Tx = Transaction<Database>

/** More corrections than that are another visit. */
export const REVISIONS_MAX = 100

/** A version that stands: what a revision or a withdrawal is about. */
export interface OpenVersion {
  readonly firmId: string
  readonly plant: string
  readonly revision: number
}

/**
 * The version of that id, if it may be revised or withdrawn. Throws `not-found` where the caller does not see it, and
 * `conflict`, naming the latest version, where another took its place or it was withdrawn.
 */
export async function insistOnOpen(tx: Tx, testId: string): Promise<OpenVersion> {
  const row = await tx
    .selectFrom('field_test as test')
    .innerJoin('plant', 'plant.id', 'test.plant_id')
    .leftJoin('test_closure as closure', 'closure.test_id', 'test.id')
    .select(['test.firm_id as firmId', 'plant.code as plant', 'test.revision', 'closure.how'])
    .where('test.id', '=', testId)
    .executeTakeFirst()
  if (row === undefined) throw notFound('test', toWire('test', testId))
  if (row.how === 'withdrawn')
    throw new Problem('conflict', `Test '${toWire('test', testId)}' was withdrawn, for good; nothing was stored.`)
  if (row.how === 'superseded') throw superseded(testId, (await listVersions(tx, testId, 'firm')).at(-1)!.id)
  return row
}

function superseded(testId: string, latest: string): Problem {
  const [old, now] = [toWire('test', testId), toWire('test', latest)]
  return new Problem(
    'conflict',
    `A later version took the place of test '${old}'; the latest is '${now}'. Nothing was stored; read it and decide anew.`,
  )
}

export interface VersionRow {
  readonly id: string
  readonly revision: number
  readonly testedOn: string
  readonly receivedAt: Date
  readonly edition: string
  readonly soundness: Soundness
  readonly firmId: string
  readonly submittedBy: string
  readonly revises: string | null
  /** Why it took the place of the one before. */
  readonly reason: string | null
  readonly successor: string | null
  readonly withdrawnAt: Date | null
  readonly withdrawnBy: string | null
  readonly withdrawnFor: string | null
}

/** All versions of the visit that the caller sees, oldest first; empty where he does not see the test. */
export async function listVersions(tx: Tx, testId: string, role: Role): Promise<VersionRow[]> {
  const { rows } = await sql<VersionRow>`
    ${withVersionsOf(testId)}
    select test.id, test.revision, test.tested_on as "testedOn", test.received_at as "receivedAt", test.edition,
           ${soundnessNow(role)} as soundness, test.firm_id as "firmId", test.key_id as "submittedBy", test.revision_of as revises,
           before.reason, closure.successor,
           case when closure.how = 'withdrawn' then closure.closed_at end as "withdrawnAt",
           case when closure.how = 'withdrawn' then closure.key_id end as "withdrawnBy",
           case when closure.how = 'withdrawn' then closure.reason end as "withdrawnFor"
    from version
    join field_test test on test.id = version.id
    left join test_closure closure on closure.test_id = test.id
    left join test_closure before on before.successor = test.id
    order by test.revision`.execute(tx)
  return rows
}
