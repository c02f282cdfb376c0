/** Which certificates and qualifications lapse. A firm and an auditor look into the registry; a program, into its tests. */
import { type RawBuilder, sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { STANDS } from './sound-tests.ts'

type Tx = Transaction<Database>

export interface LapseRow {
  readonly what: 'certificate' | 'qualification'
  readonly firm_id: string
  readonly code: string
  /** Of the instrument or the tester; null where only its code is known. */
  readonly id: string | null
  readonly kind: string | null
  /** Number of the certificate, or code of the qualification. */
  readonly paper: string
  readonly valid_from: string
  readonly valid_until: string
  readonly last_on: string | null
  readonly last_test: string | null
}

export interface After {
  readonly validUntil: string
  /** What, firm, code and paper as one text, since more than one may end on a day. */
  readonly name: string
}

export interface Asked {
  /** Last day of the window. */
  readonly until: string
  readonly after: After | undefined
  readonly limit: number
}

export const nameOf = ({ what, firm_id, code, paper }: LapseRow): string => [what, firm_id, code, paper].join(' ')

const NAME = sql`what || ' ' || firm_id || ' ' || code || ' ' || paper`

const pageOf = ({ until, after, limit }: Asked): RawBuilder<unknown> => sql`
  where valid_until <= ${until}::date
    ${after === undefined ? sql`` : sql`and (valid_until, (${NAME}) collate "C") > (${after.validUntil}::date, ${after.name})`}
  order by valid_until, (${NAME}) collate "C" limit ${limit}`

/**
 * The last word on each: the certificate of the newest revision of an instrument, and of each qualification that was not
 * withdrawn the one that ends last.
 */
const REGISTERED = sql`
  select 'certificate' as what, instrument.firm_id, instrument.code, instrument.id, instrument.kind,
         newest.facts #>> '{certificate,number}' as paper,
         (newest.facts #>> '{certificate,validFrom}')::date as valid_from,
         (newest.facts #>> '{certificate,validUntil}')::date as valid_until
  from instrument
  join lateral (
    select facts from instrument_revision
    where instrument_id = instrument.id order by effective_from desc, revision desc limit 1) newest on true
  where newest.facts ? 'certificate'
  union all
  select 'qualification', tester.firm_id, tester.code, tester.id, null, held.code, held.valid_from, held.valid_until
  from tester
  join lateral (
    select distinct on (code) code, valid_from, valid_until
    from (
      select distinct on (code, valid_from) code, valid_from, valid_until, withdrawn from tester_qualification
      where tester_id = tester.id order by code, valid_from, revision desc) said
    where not withdrawn order by code, valid_until desc) held on true`

/**
 * Lapses of a page with the last use of each: the last test since its paper stands that names the instrument, or that the
 * tester made. What an instrument was used for before is the business of the paper before.
 */
export async function registeredLapses(tx: Tx, asked: Asked): Promise<LapseRow[]> {
  const { rows } = await sql<LapseRow>`
    with page as (
      select *, row_number() over (order by valid_until, (${NAME}) collate "C") as place
      from (${REGISTERED}) all_of_them ${pageOf(asked)}),
    contexts as (
      select distinct on (test.firm_id, test.context_sha256) test.firm_id, test.context_sha256, test.tested_on, test.id
      from field_test test
      where test.firm_id in (select firm_id from page where what = 'certificate')
        and test.tested_on >= (select min(valid_from) from page where what = 'certificate') and ${STANDS}
      order by test.firm_id, test.context_sha256, test.tested_on desc, test.id desc),
    used as (
      select distinct on (last.firm_id, named ->> 'code') last.firm_id, named ->> 'code' as code, last.tested_on,
             last.id as test_id
      from contexts last
      join context_snapshot context on context.firm_id = last.firm_id and context.sha256 = last.context_sha256
      join lateral jsonb_array_elements(convert_from(context.body, 'UTF8')::jsonb -> 'instruments') named on true
      order by last.firm_id, named ->> 'code', last.tested_on desc, last.id desc),
    made as (
      select distinct on (page.id, page.paper) page.id, page.paper, test.tested_on, test.id as test_id
      from page
      join field_test test on test.firm_id = page.firm_id and test.tester_id = page.id and test.tested_on >= page.valid_from
        and ${STANDS}
      where page.what = 'qualification'
      order by page.id, page.paper, test.tested_on desc, test.id desc)
    select page.*, coalesce(used.tested_on, made.tested_on) as last_on, coalesce(used.test_id, made.test_id) as last_test
    from page
    left join used on used.firm_id = page.firm_id and used.code = page.code and used.tested_on >= page.valid_from
      and page.what = 'certificate'
    left join made on made.id = page.id and made.paper = page.paper and page.what = 'qualification'
    order by page.place`.execute(tx)
  return rows
}

/** As each paper stood with the last test that names it, of those that the reader sees. */
export async function lapsesOfTests(tx: Tx, asked: Asked): Promise<LapseRow[]> {
  const { rows } = await sql<LapseRow>`
    with last_tests as (
      select distinct on (test.firm_id, test.context_sha256)
             test.firm_id, test.context_sha256, test.id, test.tester_id, test.tested_on
      from field_test test where ${STANDS}
      order by test.firm_id, test.context_sha256, test.tested_on desc, test.id desc),
    seen as (
      select test.firm_id, test.id, test.tester_id, test.tested_on, convert_from(context.body, 'UTF8')::jsonb as context
      from last_tests test
      join context_snapshot context on context.firm_id = test.firm_id and context.sha256 = test.context_sha256),
    papers as (
      (select distinct on (seen.firm_id, named ->> 'code')
              'certificate' as what, seen.firm_id, named ->> 'code' as code, null::uuid as id, named ->> 'kind' as kind,
              named #>> '{certificate,number}' as paper, (named #>> '{certificate,validFrom}')::date as valid_from,
              (named #>> '{certificate,validUntil}')::date as valid_until, seen.tested_on as last_on, seen.id as last_test
       from seen, jsonb_array_elements(context -> 'instruments') named
       order by seen.firm_id, named ->> 'code', seen.tested_on desc, seen.id desc)
      union all
      (select distinct on (last.tester_id, held ->> 'code')
              'qualification', last.firm_id, last.context #>> '{tester,code}', last.tester_id, null, held ->> 'code',
              (held ->> 'validFrom')::date, (held ->> 'validUntil')::date, last.tested_on, last.id
       from (select distinct on (tester_id) * from seen order by tester_id, tested_on desc, id desc) last,
            jsonb_array_elements(last.context #> '{tester,qualifications}') held
       order by last.tester_id, held ->> 'code', (held ->> 'validUntil')::date desc))
    select * from papers ${pageOf(asked)}`.execute(tx)
  return rows
}
