/** What an audit covers of the ledger itself. */
import type { TableCoverage } from './cover.ts'

const ONE = 'the key of a table of one row; the database lets it be true only'

const READ = 'held by the root of its hour, which `/v1/ledger/read-hours/{hour}` compares, once the hour is closed'
const READ_HEAD = 'follows from the rows of the read log'

export const LEDGER_TABLES: Readonly<Record<string, TableCoverage>> = {
  ledger_entry: {
    holds: 'What happened, in its order.',
    row: 'index::text',
    added: ['entry-twice', 'head-wrong', 'checkpoint-not-of-these-entries'],
    removed: ['entry-gap', 'head-wrong'],
    columns: {
      index: ['entry-gap', 'entry-twice', 'tile-wrong', 'checkpoint-not-of-these-entries'],
      leaf_hash: ['entry-not-its-hash'],
      entry: ['entry-not-its-hash', 'entry-malformed'],
      kind: ['entry-columns'],
      firm_id: ['entry-columns'],
      subject: ['entry-columns'],
    },
  },
  ledger_head: {
    holds: 'The next free index.',
    row: "'true'",
    added: ONE,
    removed: ['head-wrong'],
    columns: { one: ONE, next: ['head-wrong'] },
  },
  ledger_tree: {
    holds: 'How far the tree reaches.',
    row: "'true'",
    added: ONE,
    removed: ['tree-wrong'],
    columns: { one: ONE, size: ['checkpoint-missing'], peaks: ['tree-wrong'] },
  },
  ledger_tile: {
    holds: 'Full tiles of the tree.',
    row: "level || '/' || index",
    added: ['tile-surplus'],
    removed: ['tile-missing'],
    columns: {
      level: ['tile-missing', 'tile-surplus'],
      index: ['tile-missing', 'tile-surplus'],
      hashes: ['tile-wrong'],
      root: ['tile-wrong'],
    },
  },
  ledger_checkpoint: {
    holds: 'What was signed. All are held against the entries, so that each continues the one before it.',
    row: 'size::text',
    added: ['checkpoint-wrong', 'checkpoint-not-of-these-entries'],
    removed:
      'of an older one nothing tells that it was there, and every one that is left vouches for the same entries; the newest is missed by `checkpoint-missing`',
    columns: {
      size: ['checkpoint-wrong', 'checkpoint-missing'],
      root: ['checkpoint-wrong'],
      note: ['checkpoint-wrong', 'checkpoint-unsigned'],
      signed_at: 'a checkpoint’s signature is over size and root; a witness’s cosignature bears the time',
    },
  },
  read_log: {
    holds: 'Who read what.',
    row: 'place::text',
    added: READ,
    removed: READ,
    columns: {
      place: READ,
      hour: READ,
      at: READ,
      key_id: READ,
      role: READ,
      firm_id: READ,
      program_id: READ,
      operation: READ,
      test_id: READ,
      plant_id: READ,
      filter: READ,
      count: READ,
      request_id: READ,
    },
  },
  read_log_head: {
    holds: 'The next place in the read log, and the open hour.',
    row: "'true'",
    added: ONE,
    removed: READ_HEAD,
    columns: { one: ONE, next: READ_HEAD, hour: READ_HEAD },
  },
  migration: {
    holds: 'Which files made the database.',
    row: 'name',
    added: ['migration-unknown'],
    removed: ['migration-unknown'],
    columns: {
      name: ['migration-unknown'],
      sha256: ['migration-unknown'],
      applied_at: 'when a file was applied; nothing repeats it',
    },
  },
}
