/** What a judgement needs of tests beside their evaluation, as far as the reader may see it. */
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { toWire } from '../http/ids.ts'
import type { Decision, FindingName, Material } from './rules/material.ts'

type Tx = Transaction<Database>

interface AroundRow {
  readonly id: string
  readonly tested_on: string
  readonly turn: number
  readonly closed: 'superseded' | 'withdrawn' | null
  readonly before_id: string | null
  readonly before_on: string | null
  readonly decisions:
    | readonly { finding: string; run: number | null; place: string; outcome: Decision['outcome'] }[]
    | null
  readonly beside: readonly (Omit<FindingName, 'run'> & { run: number | null })[] | null
}

export type Around = Pick<Material, 'consent' | 'before' | 'decisions' | 'closed' | 'beside'>

/** Whether the program has a test at present: the last turn of the grower’s word on it. */
const given = (test: string, program: string) => sql`
  (select turn, consent from test_program
   where test_id = ${sql.ref(test)} and program_id = ${program} order by turn desc limit 1)`

/**
 * Of tests that a program has: the consent, what became of the test, the program’s decisions, and the last test of the
 * plant on an earlier day that the program has and that nothing took the place of.
 */
const around = (program: string) => sql`
  select test.id, test.tested_on, word.turn, closure.how as closed, before.id as before_id, before.tested_on as before_on,
         said.decisions, record.beside
  from field_test test
  join lateral ${given('test.id', program)} word on word.consent = 'given'
  left join test_closure closure on closure.test_id = test.id
  left join lateral (
    select earlier.id, earlier.tested_on from field_test earlier
    join lateral ${given('earlier.id', program)} word on word.consent = 'given'
    where earlier.plant_id = test.plant_id and earlier.tested_on < test.tested_on
      and not exists (select from test_closure closed where closed.test_id = earlier.id)
    order by earlier.tested_on desc, earlier.id desc limit 1) before on true
  left join lateral (
    select json_agg(last) as decisions from (
      select distinct on (finding, run, place) finding, run, place, outcome from finding_decision
      where test_id = test.id and program_id = ${program} order by finding, run, place, turn desc) last) said on true
  left join lateral (
    select json_agg(json_build_object('id', finding, 'severity', severity, 'run', run, 'place', place) order by n) as beside
    from record_finding where test_id = test.id) record on true`

const toAround = (row: AroundRow): Around => ({
  consent: { given: true, turn: row.turn },
  before:
    row.before_id === null
      ? { kind: 'none' }
      : { kind: 'tested', testedOn: row.before_on!, test: toWire('test', row.before_id) },
  decisions: (row.decisions ?? []).map(({ run, ...decision }) => ({ ...decision, run: run ?? undefined })),
  closed: row.closed ?? undefined,
  beside: (row.beside ?? []).map(({ run, ...finding }) => ({ ...finding, run: run ?? undefined })),
})

/** Undefined where the reader does not see the test, or the program does not have it. */
export async function findAround(tx: Tx, program: string, testId: string): Promise<Around | undefined> {
  const { rows } = await sql<AroundRow>`${around(program)} where test.id = ${testId}`.execute(tx)
  return rows[0] && toAround(rows[0])
}

interface GivenRow extends AroundRow {
  readonly edition: string
  readonly raw: Buffer
  readonly context: Buffer
}

export interface GivenTest extends Around {
  readonly id: string
  readonly testedOn: string
  readonly edition: string
  readonly raw: Buffer
  readonly context: Buffer
}

/** The tests that the program has and nothing took the place of, page by page in order of their ids. */
export async function listGivenTests(
  tx: Tx,
  program: string,
  { after, limit }: { readonly after: string | undefined; readonly limit: number },
): Promise<GivenTest[]> {
  const { rows } = await sql<GivenRow>`
    with page as (
      select test.id, test.edition, test.raw, snapshot.body as context
      from field_test test
      join lateral ${given('test.id', program)} word on word.consent = 'given'
      join context_snapshot snapshot on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
      where ${after === undefined ? sql`true` : sql`test.id > ${after}`}
        and not exists (select from test_closure closed where closed.test_id = test.id)
      order by test.id limit ${limit})
    select page.edition, page.raw, page.context, one.* from page
    join lateral (${around(program)} where test.id = page.id) one on true
    order by page.id`.execute(tx)
  return rows.map((row) => ({
    ...toAround(row),
    id: row.id,
    testedOn: row.tested_on,
    edition: row.edition,
    raw: row.raw,
    context: row.context,
  }))
}
