/** The versions of one test, for queries of any slice. */
import { type RawBuilder, sql } from 'kysely'

/**
 * Begins a query over `version`, with the `id` of each version of the test: from the one asked for back to the first and
 * on to the last, each step one look into a unique index. Empty where the caller does not see the test.
 */
export const withVersionsOf = (testId: string): RawBuilder<unknown> => sql`
  with recursive earlier as (
    select id, revision_of from field_test where id = ${testId}
    union all
    select before.id, before.revision_of from earlier join field_test before on before.id = earlier.revision_of
  ), later as (
    select id from field_test where id = ${testId}
    union all
    select after.id from later join field_test after on after.revision_of = later.id
  ), version as (select id from earlier union select id from later)`
