/**
 * Holds the whole record against its ledger and against itself, and tells every disagreement with its place.
 *
 * Reads as it goes, in one snapshot of the database, so that memory does not grow with the record and a service that
 * writes meanwhile does no harm. What it can't tell is a record that somebody made anew as a whole, with the key that
 * signs: that takes somebody outside who kept an earlier checkpoint.
 */
import pg from 'pg'
import { readMigrations } from '../db/migrate.ts'
import { auditContexts } from './contexts.ts'
import { type Derive, derive } from './derive.ts'
import { readLeaves } from './entries.ts'
import type { AuditFinding, Report } from './findings.ts'
import { auditQualityVisits } from './quality-visits.ts'
import { RecordReader } from './rows.ts'
import { auditRuleSets } from './rule-sets.ts'
import { auditTests, type TestCounts } from './tests.ts'
import { TreeAudit } from './tree.ts'

export interface AuditOptions {
  /** Verifier keys that the auditor brings (C2SP signed-note); absent, the keys in the ledger's own entries are taken. */
  readonly keys?: readonly string[]
  /** Evaluates a test again; absent, with the editions that are here. */
  readonly derive?: Derive
}

export interface AuditCounts extends TestCounts {
  entries: number
  contexts: number
  ruleSets: number
  qualityDraws: number
}

/**
 * Audits within the transaction of `client`, which must see all rows: a superuser, or the role ll_auditor. Findings go
 * to `report` as they come.
 */
export async function auditRecord(
  client: pg.ClientBase,
  report: Report,
  { keys, derive: deriveBy = derive }: AuditOptions = {},
): Promise<AuditCounts> {
  // An index may tell of rows what the rows themselves no longer say.
  await client.query(`select set_config('enable_indexscan', 'off', true), set_config('enable_indexonlyscan', 'off', true),
    set_config('enable_bitmapscan', 'off', true), set_config('datestyle', 'ISO, YMD', true),
    set_config('timezone', 'UTC', true), set_config('statement_timeout', '0', true), set_config('bytea_output', 'hex', true)`)
  const reader = new RecordReader(client, report)
  const tree = new TreeAudit(reader, report, keys)
  let entries = 0
  for await (const leaf of readLeaves(reader, report)) {
    await tree.add(leaf)
    entries += 1
  }
  await tree.end()
  const tests = await auditTests(reader, report, deriveBy)
  const contexts = await auditContexts(reader, report)
  const ruleSets = await auditRuleSets(reader, report)
  const qualityDraws = await auditQualityVisits(reader, report)
  await auditMigrations(reader, report)
  return { entries, contexts, ruleSets, qualityDraws, ...tests }
}

async function auditMigrations(reader: RecordReader, report: Report): Promise<void> {
  const table = 'migration'
  const known = new Map((await readMigrations()).map(({ name, sha256 }) => [name, sha256]))
  const rows = await reader.all<{ name: string; sha256: string }>(table, 'select name, sha256 from ll.migration')
  if (reader.broken.has(table)) return
  for (const { name, sha256 } of rows) {
    if (known.get(name) === sha256) continue
    report({ code: 'migration-unknown', table, row: name, message: `Migration ${name} is not one of this version.` })
  }
  for (const name of known.keys()) {
    if (rows.some((row) => row.name === name)) continue
    report({
      code: 'migration-unknown',
      table,
      row: name,
      message: `Migration ${name} was never applied, or its row is gone.`,
    })
  }
}

export interface AuditReport {
  readonly counts: AuditCounts | undefined
  readonly findings: readonly AuditFinding[]
  /** How many there were; more than are listed where they are very many. */
  readonly found: number
}

const FINDINGS_MAX = 10_000

/** Audits the database at a URL. Where the server gives up on the way, that is a finding too. */
export async function auditDatabase(url: string, options: AuditOptions = {}): Promise<AuditReport> {
  const client = new pg.Client({ connectionString: url, application_name: 'liftledger audit' })
  // A server that goes away fails the query under way; without a listener it would end the process.
  client.on('error', () => undefined)
  const findings: AuditFinding[] = []
  let found = 0
  const report: Report = (finding) => {
    found += 1
    if (findings.length < FINDINGS_MAX) findings.push(finding)
  }
  await client.connect()
  try {
    await client.query('begin isolation level repeatable read read only')
    await beAuditor(client)
    const counts = await auditRecord(client, report, options)
    return { counts, findings, found }
  } catch (error) {
    if (found === 0) throw error
    // Reading failed, which was told of, and the connection with it.
    return { counts: undefined, findings, found }
  } finally {
    await client.end().catch(() => undefined)
  }
}

/** Row-level security would hide rows from any login but a superuser's; the auditor's role sees them all. */
async function beAuditor(client: pg.ClientBase): Promise<void> {
  const { rows } = await client.query<{ all: boolean }>(
    'select rolsuper or rolbypassrls as all from pg_roles where rolname = current_user',
  )
  if (!rows[0]?.all) await client.query('set local role ll_auditor')
}
