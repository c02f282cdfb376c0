/** Questions about stored tests. Row-level security decides which rows there are. */
import { sql, type Transaction } from 'kysely'
import type { Soundness, StoredTest } from '../db/read-tests.ts'
import type { Database } from '../db/schema.ts'
import type { Role } from '../http/principal.ts'

/** One test with its sheet, context and place in the ledger, as `asPrincipal` may see it: by the function that all reads go through. */
export async function findStoredTest(tx: Transaction<Database>, id: string): Promise<StoredTest | undefined> {
  const { rows } = await sql<Omit<StoredTest, 'id'>>`
    select firm as "firmId", plant as "plantId", day as "testedOn", received as "receivedAt", method_edition as edition,
           verdict as soundness, sheet as raw, sheet_hash as "rawSha256", context, context_hash as "contextSha256",
           evaluation_hash as "evaluationSha256", ledger_index as "ledgerIndex",
           version as revision, revises
    from ll.read_tests(null, array[null::uuid], array[${id}::uuid], array[null::bytea])
  `.execute(tx)
  const [row] = rows
  return row && { ...row, id, ledgerIndex: Number(row.ledgerIndex) }
}

/** The entry of a test in the ledger; none where the test isn't visible. */
export async function findEntry(
  tx: Transaction<Database>,
  testId: string,
): Promise<{ index: number; leafHash: Buffer }[]> {
  return tx
    .selectFrom('ledger_entry')
    .select(['index', 'leaf_hash as leafHash'])
    .where('subject', '=', testId)
    .where('kind', 'in', ['test', 'revision'])
    .execute()
}

export interface EarlierUse {
  readonly fingerprint: Buffer
  readonly testId: string
}

/** What an idempotency key of the firm was used for before. */
export async function findEarlierUse(
  tx: Transaction<Database>,
  firmId: string,
  key: string,
): Promise<EarlierUse | undefined> {
  const row = await tx
    .selectFrom('idempotency')
    .select(['fingerprint', 'resource_id as testId'])
    .where('firm_id', '=', firmId)
    .where('key', '=', key)
    .executeTakeFirst()
  return row?.testId == null ? undefined : { fingerprint: row.fingerprint, testId: row.testId }
}

export interface TestFilter {
  readonly plant?: string | undefined
  readonly testedFrom?: string | undefined
  readonly testedTo?: string | undefined
  /** `latest` leaves out what a later version took the place of. */
  readonly versions?: 'latest' | 'all'
}

/** Soundness of a `field_test as test` as the role sees it now, for a query joined with `test_closure as closure`. */
export const soundnessNow = (role: Role) =>
  role === 'program'
    ? sql<Soundness>`coalesce(closure.how, soundness_for_program(test.id, test.soundness, test.findings))`
    : sql<Soundness>`coalesce(closure.how, worse_soundness(test.soundness,
        (select comparison.verdict from record_comparison comparison where comparison.test_id = test.id)))`

/** Day and id of the last test of the page before. */
export interface TestPlace {
  readonly testedOn: string
  readonly id: string
}

/** Of a test in a list, with its plant. */
const LISTED = [
  'test.id',
  'plant.code as plant',
  'test.tested_on as testedOn',
  'test.received_at as receivedAt',
  'test.edition',
  'test.revision',
  'closure.successor',
  'test.findings',
  'test.flow_m3_s as flowM3S',
  'test.head_m as headM',
  'test.input_power_w as inputPowerW',
  'test.efficiency',
  'test.efficiency_u as efficiencyU',
  'comparison.compared_at as comparedAt',
  'comparison.rejects',
  'comparison.holds',
  'comparison.cautions',
  'comparison.notes',
] as const

/** Newest tests first. */
export async function listStoredTests(
  tx: Transaction<Database>,
  filter: TestFilter,
  after: TestPlace | undefined,
  limit: number,
  role: Role = 'firm',
) {
  return tx
    .selectFrom('field_test as test')
    .innerJoin('plant', 'plant.id', 'test.plant_id')
    .leftJoin('test_closure as closure', 'closure.test_id', 'test.id')
    .leftJoin('record_comparison as comparison', 'comparison.test_id', 'test.id')
    .select(LISTED)
    .select(soundnessNow(role).as('soundness'))
    .$if(filter.versions === 'latest', (query) => query.where('closure.successor', 'is', null))
    .$if(filter.plant !== undefined, (query) => query.where('plant.code', '=', filter.plant!))
    .$if(filter.testedFrom !== undefined, (query) => query.where('test.tested_on', '>=', filter.testedFrom!))
    .$if(filter.testedTo !== undefined, (query) => query.where('test.tested_on', '<=', filter.testedTo!))
    .$if(after !== undefined, (query) =>
      query.where(sql<boolean>`(test.tested_on, test.id) < (${after!.testedOn}::date, ${after!.id}::uuid)`),
    )
    .orderBy('test.tested_on', 'desc')
    .orderBy('test.id', 'desc')
    .limit(limit)
    .execute()
}

/**
 * The same for a program: it walks what was given to it. The tests themselves are not in that order, and of all of them
 * a program sees a few.
 */
export async function listGivenTests(
  tx: Transaction<Database>,
  filter: TestFilter,
  after: TestPlace | undefined,
  limit: number,
) {
  return (
    tx
      .selectFrom('test_program as given')
      .innerJoin('field_test as test', 'test.id', 'given.test_id')
      .innerJoin('plant', 'plant.id', 'test.plant_id')
      .leftJoin('test_closure as closure', 'closure.test_id', 'test.id')
      .leftJoin('record_comparison as comparison', 'comparison.test_id', 'test.id')
      .select(LISTED)
      .select(soundnessNow('program').as('soundness'))
      .$if(filter.versions === 'latest', (query) => query.where('closure.successor', 'is', null))
      .where('given.consent', '=', 'given')
      // Given, taken back and given again it stands here once.
      .where(({ not, exists, selectFrom }) =>
        not(
          exists(
            selectFrom('test_program as later')
              .select('later.turn')
              .whereRef('later.test_id', '=', 'given.test_id')
              .whereRef('later.program_id', '=', 'given.program_id')
              .whereRef('later.turn', '>', 'given.turn'),
          ),
        ),
      )
      .$if(filter.plant !== undefined, (query) => query.where('plant.code', '=', filter.plant!))
      .$if(filter.testedFrom !== undefined, (query) => query.where('given.tested_on', '>=', filter.testedFrom!))
      .$if(filter.testedTo !== undefined, (query) => query.where('given.tested_on', '<=', filter.testedTo!))
      .$if(after !== undefined, (query) =>
        query.where(sql<boolean>`(given.tested_on, given.test_id) < (${after!.testedOn}::date, ${after!.id}::uuid)`),
      )
      .orderBy('given.tested_on', 'desc')
      .orderBy('given.test_id', 'desc')
      .limit(limit)
      .execute()
  )
}
