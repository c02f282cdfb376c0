/** What an audit covers of programs’ rules. */
import type { TableCoverage } from './cover.ts'

const AUTHOR = 'the entry does not name the keys; who did it is known from the row alone'
const DRAFT = 'when it was drafted is not in the ledger'
const DRY_RUN = 'a dry run decides nothing; it can be made again while the tests are there'

const CHANGED = ['rule-set-changed'] as const
const published = { says: 'of published ones', where: 'published_at is not null' }

const COVERED = [
  ...['version', 'content', 'content_sha256', 'in_force_from', 'in_force_to', 'paused_from', 'program_id'],
  ...['authors', 'publisher', 'published_at', 'salt', 'people_sha256', 'leaf_hash', 'ledger_index'],
]

const uncovered = (holds: string, columns: string): TableCoverage => ({
  holds,
  added: DRY_RUN,
  removed: DRY_RUN,
  columns: Object.fromEntries(columns.split(' ').map((column) => [column, DRY_RUN])),
})

export const PROGRAM_TABLES: Readonly<Record<string, TableCoverage>> = {
  rule_set: {
    holds: 'Rule sets of programs. What is published is covered; of drafts nothing is in the ledger.',
    row: 'id::text',
    added: ['rule-set-without-entry'],
    removed: ['entry-without-row'],
    columns: {
      id: ['rule-set-without-entry', 'entry-without-row'],
      ...Object.fromEntries(COVERED.map((column) => [column, CHANGED])),
      author_keys: AUTHOR,
      publisher_key: AUTHOR,
      drafted_at: DRAFT,
      changed_at: DRAFT,
      dry_run_id: DRY_RUN,
    },
    only: Object.fromEntries(['id', ...COVERED].map((column) => [column, published])),
  },
  rule_set_dry_run: uncovered(
    'Dry runs of drafts over stored tests.',
    'id program_id rule_set_id content_sha256 key_id started_at beat_at finished_at failed judged summary',
  ),
  rule_set_dry_run_change: uncovered('What they found, test by test.', 'program_id dry_run_id test_id change'),
}
