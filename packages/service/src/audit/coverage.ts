/**
 * What an audit covers of the record: for each column, and for rows that are added or taken away, the codes that tell,
 * or why nothing does. A column that isn't declared here fails the test beside this file.
 */

import type { Cover, TableCoverage } from './cover.ts'
import { LEDGER_TABLES } from './coverage-of-ledger.ts'
import { PROGRAM_TABLES } from './coverage-of-programs.ts'
import { QUALITY_VISIT_TABLES } from './coverage-of-quality-visits.ts'
import { REGISTRY_TABLES } from './coverage-of-registry.ts'
import { STATISTICS_TABLES } from './coverage-of-statistics.ts'
import { TEST_TABLES } from './coverage-of-tests.ts'
import type { AuditCode } from './findings.ts'

export const coverage: Readonly<Record<string, TableCoverage>> = {
  ...TEST_TABLES,
  ...LEDGER_TABLES,
  ...PROGRAM_TABLES,
  ...QUALITY_VISIT_TABLES,
  ...REGISTRY_TABLES,
  ...STATISTICS_TABLES,
}

export const isCovered = (cover: Cover | undefined): cover is readonly AuditCode[] => Array.isArray(cover)

/** `table.column` of each column that is there and isn't declared, and of each that is declared and isn't there. */
export function undeclared(columns: readonly { readonly table: string; readonly column: string }[]): string[] {
  const there = new Set(columns.map(({ table, column }) => `${table}.${column}`))
  const declared = new Set(
    Object.entries(coverage).flatMap(([table, { columns: own }]) =>
      Object.keys(own).map((column) => `${table}.${column}`),
    ),
  )
  const either = [...there, ...declared]
  return [...new Set(either.filter((name) => !there.has(name) || !declared.has(name)))].toSorted()
}

/** Every column of every table of the schema, as the database tells them. */
export const COLUMNS_SQL = `select c.relname::text as table, a.attname::text as column
  from pg_attribute a join pg_class c on c.oid = a.attrelid
  where c.relnamespace = 'll'::regnamespace and c.relkind in ('r', 'p') and a.attnum > 0 and not a.attisdropped
  order by c.relname, a.attnum`

const told = (cover: Cover): string =>
  isCovered(cover) ? cover.map((code) => `\`${code}\``).join(', ') : `not covered: ${cover}`

/** The page for auditors. */
export function coverageText(): string {
  const all = Object.values(coverage).flatMap(({ columns }) => Object.values(columns))
  const lines = [
    '# What an audit covers',
    '',
    '`npm run audit` holds the record in the database against its ledger. This page is made from the same declaration that',
    'the tampering trials draw their changes from, and a test holds it against the columns of a migrated database.',
    '',
    `Of ${all.length} columns ${all.filter(isCovered).length} are covered: a change of one of them is found, with its place. The codes are those of the report.`,
    '',
    'A record that was made anew as a whole, with the signing key, agrees with itself. It is found by whoever kept an',
    'earlier checkpoint: `liftledger monitor`. So is a record that was cut back to an earlier state, checkpoints and all.',
    '',
  ]
  for (const [table, { holds, added, removed, columns, only = {} }] of Object.entries(coverage)) {
    lines.push(`## ${table}`, '', holds, '', '| what | found by |', '|---|---|')
    lines.push(`| a row put in | ${told(added)} |`, `| a row taken out | ${told(removed)} |`)
    for (const [column, cover] of Object.entries(columns)) {
      const rows = only[column] === undefined ? '' : ` (${only[column].says})`
      lines.push(`| \`${column}\`${rows} | ${told(cover)} |`)
    }
    lines.push('')
  }
  return lines.join('\n')
}
