import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { onConnection } from '../db/testing.ts'
import { COLUMNS_SQL, coverage, coverageText, isCovered, undeclared } from './coverage.ts'
import { auditCodes } from './findings.ts'

let database: ClonedDatabase
beforeAll(async () => {
  database = await cloneDatabase()
})
afterAll(() => database.drop())

const columnsOf = (sql = COLUMNS_SQL) =>
  onConnection(database.url, undefined, async (client) => {
    const { rows } = await client.query<{ table: string; column: string }>(sql)
    return rows
  })

test('every column of the database is covered by a check, or has a reason why it is not', async () => {
  const columns = await columnsOf()
  expect(columns.length).toBeGreaterThan(150)
  expect(undeclared(columns)).toEqual([])
})

test('a new column, a new table and one that is gone are missed', async () => {
  const columns = await columnsOf()
  expect(undeclared([...columns, { table: 'firm', column: 'invented' }])).toEqual(['firm.invented'])
  expect(undeclared([...columns, { table: 'invented', column: 'id' }])).toEqual(['invented.id'])
  const without = columns.filter(({ table, column }) => !(table === 'field_test' && column === 'raw'))
  expect(undeclared(without)).toEqual(['field_test.raw'])
})

test('every code is used by some cover, or is about the whole', () => {
  const used = Object.values(coverage).flatMap(({ added, removed, columns }) =>
    [added, removed, ...Object.values(columns)].flatMap((cover) => (isCovered(cover) ? cover : [])),
  )
  const unused = Object.keys(auditCodes).filter((code) => !used.includes(code as (typeof used)[number]))
  // Of the server, of a calculation or an edition that is another one, of keys, and of what was once otherwise.
  expect(unused.toSorted()).toEqual([
    'comparison-left-out',
    'edition-unknown',
    'evaluation-differs',
    'key-order',
    'key-unknown',
    'unreadable',
  ])
})

test('the page says what is declared', () => {
  expect(readFileSync(new URL('../../../../docs/record-coverage.md', import.meta.url), 'utf8')).toBe(coverageText())
})
