/** Published rule sets against their entries in the ledger. Of drafts nothing is in the ledger. */
import { entryBytes, leafHash, type RuleSetEntry, toHex } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { peopleBytes } from '../programs/people.ts'
import { TABLE as ENTRIES, readEntry, uuidIn } from './entries.ts'
import type { Report } from './findings.ts'
import { inMicroseconds, instant, type RecordReader } from './rows.ts'

interface RuleSetRow {
  readonly id: string
  readonly program_id: string
  readonly version: string
  readonly content: Buffer
  readonly content_sha256: Buffer
  readonly in_force_from: string
  readonly in_force_to: string
  readonly paused_from: string | null
  readonly authors: string[]
  readonly publisher: string | null
  readonly published_at: string | null
  readonly salt: Buffer | null
  readonly people_sha256: Buffer | null
  readonly leaf_hash: Buffer | null
  readonly ledger_index: string | null
}

const TABLE = 'rule_set'
const PUBLISHED = ['publisher', 'published_at', 'salt', 'people_sha256', 'leaf_hash', 'ledger_index', 'paused_from']
const ROWS = `select id::text, program_id::text, version::text, content, content_sha256, in_force_from::text,
    in_force_to::text, paused_from::text, authors, publisher, ${instant('published_at')} as published_at, salt,
    people_sha256, leaf_hash, ledger_index::text
  from ll.rule_set order by rule_set.id`
// By its bytes too: a column that was changed is told of where the log is read.
const ENTRY_ROWS = `select index::text, entry from ll.ledger_entry
  where kind = 'rule-set' or position('"kind":"rule-set"'::bytea in entry) > 0 order by ledger_entry.index`

interface Placed {
  readonly index: string
  readonly entry: RuleSetEntry
}

export async function auditRuleSets(reader: RecordReader, report: Report): Promise<number> {
  const placed: Placed[] = []
  for await (const { index, entry: bytes } of reader.rows<{ index: string; entry: Buffer }>(ENTRIES, ENTRY_ROWS)) {
    const entry = readEntry(bytes)
    if (entry?.kind === 'rule-set') placed.push({ index, entry })
  }
  const seen = new Set<string>()
  for await (const row of reader.rows<RuleSetRow>(TABLE, ROWS, PUBLISHED)) {
    const wire = toWire('rule set', row.id)
    seen.add(wire)
    const own = placed.find(({ entry }) => entry.ruleSet === wire)
    if (own !== undefined) checkRuleSet(row, own, report)
    else if (row.published_at !== null && !reader.broken.has(ENTRIES)) {
      const message = `Rule set ${wire} is stored as published, and no entry records it.`
      report({ code: 'rule-set-without-entry', table: TABLE, row: row.id, column: 'published_at', message })
    }
  }
  if (reader.broken.has(TABLE)) return placed.length
  for (const { entry } of placed) {
    if (seen.has(entry.ruleSet)) continue
    const message = `Rule set ${entry.ruleSet} of ${entry.program} is gone, and an entry records it.`
    report({ code: 'entry-without-row', table: TABLE, row: uuidIn('rule set', entry.ruleSet), message })
  }
  return placed.length
}

function checkRuleSet(row: RuleSetRow, { index, entry }: Placed, report: Report): void {
  const rules = contentOf(row.content)
  const due: [column: string, found: string | null, said: string | null][] = [
    ['program_id', toWire('program', row.program_id), entry.program],
    ['version', row.version, String(entry.version)],
    ['content', sha256(row.content).toString('hex'), entry.contentSha256],
    ['content_sha256', row.content_sha256.toString('hex'), entry.contentSha256],
    ['in_force_from', row.in_force_from, rules.inForceFrom ?? null],
    ['in_force_to', row.in_force_to, rules.inForceTo ?? null],
    ['paused_from', row.paused_from, rules.pausedFrom ?? null],
    ['published_at', row.published_at, inMicroseconds(entry.at)],
    ['people_sha256', row.people_sha256?.toString('hex') ?? null, entry.peopleSha256],
    ['leaf_hash', row.leaf_hash?.toString('hex') ?? null, toHex(leafHash(entryBytes(entry)))],
    ['ledger_index', row.ledger_index, index],
  ]
  const tell = (column: string, message: string): void =>
    report({
      code: 'rule-set-changed',
      table: TABLE,
      row: row.id,
      column,
      message: `Rule set ${entry.ruleSet}: ${message}`,
    })
  for (const [column, found, said] of due) {
    if (found === said) continue
    // Days are those of the rules; where these are not the recorded ones, they say nothing about days.
    if (rules.changed && /^(in_force|paused)/.test(column)) continue
    tell(column, `${column} is ${found ?? 'empty'}, and ${said ?? 'nothing'} is recorded.`)
  }
  const people = row.salt === null || row.publisher === null ? undefined : peopleBytes(row.authors, row.publisher)
  if (people !== undefined && sha256(row.salt!, people).toString('hex') === entry.peopleSha256) return
  // Any of the three may be the one.
  const or = ['publisher', 'salt'].map((column) => ({ table: TABLE, row: row.id, column }))
  const message = `Rule set ${entry.ruleSet}: authors, publisher and salt do not have the hash that was recorded.`
  report({ code: 'rule-set-changed', table: TABLE, row: row.id, column: 'authors', message, or })

  function contentOf(content: Buffer): {
    changed: boolean
    inForceFrom?: string
    inForceTo?: string
    pausedFrom?: string
  } {
    const changed = sha256(content).toString('hex') !== entry.contentSha256
    return changed ? { changed } : { changed, ...(JSON.parse(content.toString('utf8')) as object) }
  }
}
