/**
 * Which other tests a test is compared with: of those that stand before it in the ledger the versions that stood when it
 * came. What comes later, a test, a revision, a withdrawal, changes nothing here: comparing again gives the same.
 */
import { type RawBuilder, sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { WaitingTest } from './queue.ts'

type Tx = Transaction<Database>

/** Visits of one plant, the latest, beside those that have readings in common; and of one tester about a day. */
const OF_PLANT_MAX = 30
const OF_TESTER_MAX = 50
const SAME_BYTES_MAX = 20
/** Tests of the plant and as many of others: those with most windows in common. */
export const LOOKALIKES_MAX = 20
/** Newest tests that are looked at for each window: whoever has more than that in common has it with these too. */
const PER_WINDOW = 64
/** And the oldest: copies that somebody takes back crowd the test they were made from out of the newest, not out of these. */
const OLDEST_PER_WINDOW = 8
/** Of all that have one in common. */
const ALIKE_MAX = 80

/** Whether a version `test`, with its `entry`, stood when an entry of that index was appended. */
const stoodBefore = (index: number): RawBuilder<boolean> => sql<boolean>`
  entry.index < ${index} and not exists (
    select from test_closure closure
    join ledger_entry closing on closing.subject = coalesce(closure.successor, closure.test_id)
                             and closing.kind = case closure.how when 'withdrawn' then 'withdrawal' else 'revision' end
    where closure.test_id = test.id and closing.index <= ${index})`

const ENTRY = sql`join ledger_entry entry on entry.subject = test.id and entry.kind in ('test', 'revision')`

async function idsOf(tx: Tx, query: RawBuilder<{ id: string }>): Promise<string[]> {
  return (await query.execute(tx)).rows.map(({ id }) => id)
}

/** Other tests of the plant: the latest up to the day of the visit first, then those of later days. */
export async function ofPlant(tx: Tx, { plantId, testedOn, ledgerIndex }: WaitingTest): Promise<string[]> {
  return idsOf(
    tx,
    sql`select test.id from field_test test ${ENTRY}
        where test.plant_id = ${plantId} and ${stoodBefore(ledgerIndex)}
        order by test.tested_on <= ${testedOn} desc, test.tested_on desc, test.id desc limit ${OF_PLANT_MAX}`,
  )
}

/** Tests of the same firm by the same tester, of the day of the visit and the days beside it. */
export const ofTester = (tx: Tx, { firmId, testerId, testedOn, ledgerIndex }: WaitingTest): Promise<string[]> =>
  idsOf(
    tx,
    sql`select test.id from field_test test ${ENTRY}
        where test.firm_id = ${firmId} and test.tester_id = ${testerId}
          and test.tested_on between ${testedOn}::date - 1 and ${testedOn}::date + 1 and ${stoodBefore(ledgerIndex)}
        order by test.tested_on, test.id limit ${OF_TESTER_MAX}`,
  )

/** Tests of the same firm with the very same bytes, which tell of the same day. */
export const withSameBytes = (tx: Tx, { firmId, testedOn, rawSha256, ledgerIndex }: WaitingTest): Promise<string[]> =>
  idsOf(
    tx,
    sql`select test.id from field_test test ${ENTRY}
        where test.firm_id = ${firmId} and test.tested_on = ${testedOn} and test.raw_sha256 = ${rawSha256}
          and ${stoodBefore(ledgerIndex)}
        order by entry.index limit ${SAME_BYTES_MAX}`,
  )

/** Of these tests, in their order, the versions that stood. */
export async function standing(tx: Tx, ids: readonly string[], index: number): Promise<string[]> {
  if (ids.length === 0) return []
  const stood = new Set(
    await idsOf(
      tx,
      sql`select test.id from field_test test ${ENTRY}
          where test.id = any(${[...ids]}::uuid[]) and ${stoodBefore(index)}`,
    ),
  )
  return ids.filter((id) => stood.has(id))
}

export interface Lookalike {
  readonly id: string
  readonly plantId: string
  /** How many windows it has in common. */
  readonly windows: number
}

/** A test with its windows that is not stored as compared yet. */
interface WithWindows extends Pick<WaitingTest, 'id' | 'plantId'> {
  readonly windows: readonly string[]
}

/**
 * Tests that have windows of readings in common, those with most first, of equal ones the newest: of the first `compared`
 * tests, and of those behind them that are not stored yet. How many of them are stored makes no difference: those behind
 * are the newest, and all looked at.
 */
export async function lookalikes(
  tx: Tx,
  windows: readonly string[],
  compared: number,
  behind: readonly WithWindows[],
): Promise<Lookalike[]> {
  if (windows.length === 0) return []
  const newest = behind.toReversed()
  const having = (window: string): number => newest.filter((test) => test.windows.includes(window)).length
  const limits = windows.map((window) => Math.max(0, PER_WINDOW - having(window)))
  const { rows } = await sql<Lookalike>`
    select comparison.test_id as id, comparison.plant_id as "plantId", count(*)::int as windows
    from unnest(${[...windows]}::bigint[], ${limits}::bigint[]) asked(hash, most)
    cross join lateral ((select shared.ordinal from reading_window shared
                         where shared.hash = asked.hash and shared.ordinal < ${compared}
                         order by shared.ordinal desc limit asked.most)
                        union
                        (select shared.ordinal from reading_window shared
                         where shared.hash = asked.hash and shared.ordinal < ${compared}
                         order by shared.ordinal limit ${OLDEST_PER_WINDOW})) one
    join record_comparison comparison on comparison.ordinal = one.ordinal
    group by comparison.test_id, comparison.plant_id, comparison.ordinal
    order by windows desc, comparison.ordinal desc
    limit ${ALIKE_MAX}`.execute(tx)
  const notStored = newest.flatMap(({ id, plantId, windows: own }): Lookalike[] => {
    const common = own.filter((window) => windows.includes(window)).length
    return common === 0 ? [] : [{ id, plantId, windows: common }]
  })
  return [...notStored, ...rows].toSorted((one, other) => other.windows - one.windows).slice(0, ALIKE_MAX)
}

/** What comparing with the record made of those of these tests that are among the first `compared`. */
export async function verdictsOf(
  tx: Tx,
  ids: readonly string[],
  compared: number,
): Promise<ReadonlyMap<string, 'sound' | 'in-question' | 'unsound'>> {
  if (ids.length === 0) return new Map()
  const { rows } = await sql<{ id: string; verdict: 'sound' | 'in-question' | 'unsound' }>`
    select test_id as id, verdict from record_comparison
    where test_id = any(${[...ids]}::uuid[]) and ordinal < ${compared}`.execute(tx)
  return new Map(rows.map(({ id, verdict }) => [id, verdict]))
}

/** How many of the first `compared` tests are of the plant. */
export async function countOfPlant(tx: Tx, plantId: string, compared: number): Promise<number> {
  const { rows } = await sql<{ n: number }>`
    select count(*)::int as n from record_comparison where plant_id = ${plantId} and ordinal < ${compared}`.execute(tx)
  return rows[0]!.n
}
