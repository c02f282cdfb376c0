/** What an audit covers of tests and what stands beside them. */
import type { TableCoverage } from './coverage.ts'

const AUTHOR = 'the entry does not name the key; who did it is known from the row alone'
const CONSENT = 'what a grower said is not in the ledger; its turns only follow one another'
const RECORDED = 'when the row was written; nothing else repeats it'

const evaluated = ['test-not-as-evaluated'] as const
const entered = ['test-not-as-entered'] as const

export const TEST_TABLES: Readonly<Record<string, TableCoverage>> = {
  field_test: {
    holds: 'Tests as submitted.',
    row: 'id::text',
    added: ['test-without-entry'],
    removed: ['entry-without-row'],
    columns: {
      id: ['entry-without-row', 'test-without-entry'],
      firm_id: entered,
      plant_id: ['test-not-as-on-sheet'],
      tester_id: ['test-not-as-on-sheet'],
      tested_on: ['test-not-as-on-sheet'],
      received_at: entered,
      edition: entered,
      raw: ['test-not-as-received', 'test-hash-wrong'],
      raw_sha256: ['test-hash-wrong'],
      salt: ['test-not-as-received'],
      context_sha256: ['context-missing', 'context-changed'],
      evaluation_sha256: ['test-hash-wrong'],
      soundness: evaluated,
      findings: evaluated,
      flow_m3_s: evaluated,
      head_m: evaluated,
      lift_m: evaluated,
      input_power_w: evaluated,
      efficiency: evaluated,
      efficiency_u: evaluated,
      specific_capacity_m2_s: evaluated,
      energy_per_volume_j_m3: evaluated,
      key_id: AUTHOR,
      revision: entered,
      revision_of: entered,
    },
  },
  context_snapshot: {
    holds: 'The records that tests rest on, as they stood.',
    row: "firm_id::text || '/' || encode(sha256, 'hex')",
    added: ['context-surplus'],
    removed: ['context-missing'],
    columns: {
      firm_id: ['context-missing', 'context-surplus'],
      sha256: ['context-missing', 'context-hash-wrong'],
      plant_id: ['test-not-as-on-sheet'],
      body: ['context-changed', 'context-hash-wrong'],
      recorded_at: RECORDED,
    },
  },
  test_note: {
    holds:
      'Names, telephone numbers and free text beside a test. Of an erased note the salt is gone with the text: that there was one, its hash, and when it was erased is covered; nobody can tell any more what it said.',
    row: 'id::text',
    added: ['note-without-entry'],
    removed: ['entry-without-row'],
    columns: {
      id: ['note-without-entry', 'entry-without-row'],
      firm_id: ['note-changed'],
      test_id: ['note-without-entry', 'entry-without-row'],
      sha256: ['note-changed'],
      salt: ['note-changed', 'note-erased-unrecorded'],
      body: ['note-changed', 'note-erased-unrecorded'],
      key_id: AUTHOR,
      created_at: ['note-changed'],
      erased_at: ['note-erased-unrecorded'],
    },
  },
  test_program: {
    holds: 'To which programs a test was given, and taken back.',
    added: CONSENT,
    removed: CONSENT,
    columns: {
      test_id: CONSENT,
      program_id: CONSENT,
      turn: CONSENT,
      consent: CONSENT,
      consented_at: CONSENT,
      recorded_at: RECORDED,
      firm_id: CONSENT,
      tested_on: 'repeats the day of the test, which a foreign key holds to it',
      key_id: AUTHOR,
      previous_turn: 'made by the database from the turn',
      evidence: CONSENT,
    },
  },
  idempotency: {
    holds: 'Keys that requests came with. Rows are deleted once they are old.',
    row: "firm_id::text || '/' || key",
    added: ['key-of-nothing', 'key-wrong'],
    removed: 'old keys are deleted, and nothing tells which were there',
    columns: {
      firm_id: ['key-wrong'],
      key: 'the text of a key is the caller’s own and repeated nowhere',
      fingerprint: ['key-wrong'],
      operation: ['key-wrong'],
      status: ['key-wrong'],
      resource_id: ['key-of-nothing', 'key-wrong'],
      created_at: RECORDED,
    },
  },
}
