/** The hot queries walk indexes, for each kind of reader. `npm run plans` shows the same over 100,000 tests. */
import pg from 'pg'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../setup/database.ts'
import { fill, type Size } from './fill.ts'
import { largeTablesIn, plansOf } from './plans.ts'
import { sample } from './sample.ts'

/** Enough that an index is the cheaper way for every query. */
const size: Size = { tests: 6_000, firms: 50, programs: 10, plantsPerFirm: 40 }

let database: ClonedDatabase
let superuser: pg.Client
beforeAll(async () => {
  database = await cloneDatabase()
  superuser = new pg.Client(database.url)
  await superuser.connect()
  await fill(superuser, size, sample())
})
afterAll(async () => {
  await superuser.end()
  await database.drop()
})

/** Which query of which reader reads which table from end to end. */
async function wholeReads(): Promise<string[]> {
  const found: string[] = []
  for await (const plan of plansOf(database.url, size)) {
    // A plan that was not told would pass for one without scans.
    expect(plan.found.scans.length, `${plan.reader}, ${plan.name}`).toBeGreaterThan(0)
    for (const table of largeTablesIn(plan.found)) found.push(`${plan.reader}, ${plan.name}: ${table}`)
  }
  return found
}

test('no hot query reads a table from end to end that grows with the tests', async () => {
  expect(await wholeReads()).toEqual([])
})

test('without the index that a list is walked by, that is told', async () => {
  await superuser.query('drop index ll.field_test_newest_of_all')
  const found = await wholeReads()
  expect(found).toContain('auditor, newest tests: field_test')
  expect(found).not.toContain('firm, newest tests: field_test')
})
