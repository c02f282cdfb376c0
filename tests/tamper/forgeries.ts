/** Rows that were never recorded, made after one that was: what tells them apart from it is as little as can be. */
import type { Chance } from './chance.ts'
import { bytes, uuid } from './values.ts'

/** A copy of the row at `ctid` with some columns as they would be in a row of its own. */
const copy = (table: string, ctid: string, other: Readonly<Record<string, string>>): string => {
  const changed = Object.entries(other)
    .map(([column, sql]) => `'${column}', ${sql}`)
    .join(', ')
  return `insert into ll.${table} select (jsonb_populate_record(t, jsonb_build_object(${changed}))).* from ll.${table} t where ctid = '${ctid}'`
}

type Forge = (ctid: string, chance: Chance) => string

export const forgeries: Readonly<Record<string, Forge>> = {
  field_test: (ctid, chance) => copy('field_test', ctid, { id: `'${uuid(chance)}'` }),
  context_snapshot: (ctid, chance) => {
    const body = bytes(chance, 40)
    return copy('context_snapshot', ctid, { sha256: `sha256('\\x${body}')`, body: `'\\x${body}'::bytea` })
  },
  test_note: (ctid, chance) => copy('test_note', ctid, { id: `'${uuid(chance)}'` }),
  test_closure: (ctid, chance) => copy('test_closure', ctid, { test_id: `'${uuid(chance)}'`, successor: 'null' }),
  finding_decision: (ctid, chance) => {
    const leaf = bytes(chance, 32)
    return copy('finding_decision', ctid, { id: `'${uuid(chance)}'`, leaf_hash: `'\\x${leaf}'::bytea`, turn: '900' })
  },
  rule_set: (ctid, chance) => {
    const leaf_hash = `'\\x${bytes(chance, 32)}'::bytea`
    return copy('rule_set', ctid, { id: `'${uuid(chance)}'`, version: '900', leaf_hash, ledger_index: '900000' })
  },
  quality_draw: (ctid, chance) =>
    copy('quality_draw', ctid, {
      id: `'${uuid(chance)}'`,
      leaf_hash: `'\\x${bytes(chance, 32)}'::bytea`,
      ledger_index: '900000',
      drawn_leaf_hash: `case when t.drawn_at is not null then '\\x${bytes(chance, 32)}'::bytea end`,
      drawn_ledger_index: 'case when t.drawn_at is not null then 900001 end',
    }),
  quality_visit_step: (ctid, chance) =>
    copy('quality_visit_step', ctid, {
      turn: '900',
      step: "'taken-back'",
      retest_id: 'null',
      reason: 'null',
      salt: `'\\x${bytes(chance, 16)}'::bytea`,
      content_sha256: `'\\x${bytes(chance, 32)}'::bytea`,
      leaf_hash: `'\\x${bytes(chance, 32)}'::bytea`,
      ledger_index: '900002',
    }),
  // A generated column takes no value: the others are copied by name.
  record_comparison: (
    ctid,
    chance,
  ) => `insert into ll.record_comparison (test_id, firm_id, plant_id, ordinal, ledger_index,
      edition, sha256, salt, rejects, holds, cautions, notes, compared_at)
    select '${uuid(chance)}', firm_id, plant_id, ordinal + 900000, ledger_index + 900000, edition, sha256, salt, rejects,
      holds, cautions, notes, compared_at from ll.record_comparison where ctid = '${ctid}'`,
  record_finding: (ctid) => copy('record_finding', ctid, { n: 'n + 100' }),
  record_finding_basis: (ctid) => copy('record_finding_basis', ctid, { n: 'n + 100' }),
  reading_window: (ctid, chance) => copy('reading_window', ctid, { hash: String(1 + chance.below(1_000_000)) }),
  evaluation_document: (ctid, chance) => copy('evaluation_document', ctid, { test_id: `'${uuid(chance)}'` }),
  idempotency: (ctid, chance) => copy('idempotency', ctid, { key: `'${uuid(chance)}'` }),
  ledger_entry: (ctid) => copy('ledger_entry', ctid, { index: '(select max(index) + 1 from ll.ledger_entry)' }),
  ledger_tile: (ctid, chance) => copy('ledger_tile', ctid, { index: String(1 + chance.below(1_000)) }),
  ledger_checkpoint: (ctid, chance) =>
    copy('ledger_checkpoint', ctid, {
      size: `(select n from generate_series(1, 100000) n where n not in (select size from ll.ledger_checkpoint) offset ${chance.below(400)} limit 1)`,
    }),
  migration: (ctid, chance) => copy('migration', ctid, { name: `'9${bytes(chance, 1)}-invented.sql'` }),
}
