/** What an audit covers of draws and quality visits. */
import type { TableCoverage } from './cover.ts'

const BY_KEY = 'the entry does not name the keys; who did it is known from the row alone'

const DRAW = ['quality-draw-changed'] as const
const STEP = ['quality-step-changed'] as const
const drawn = { says: 'of drawn ones', where: 'drawn_at is not null' }
const after = { says: 'of later steps than the draw', where: 'turn > 0' }

const ANNOUNCED = [
  ...['program_id', 'terms', 'terms_sha256', 'seed', 'seed_sha256', 'announcer', 'announced_at', 'salt'],
  ...['people_sha256', 'leaf_hash', 'ledger_index'],
]
const DRAWN = [
  ...['drawer', 'drawn_at', 'outcome', 'outcome_sha256', 'drawn_salt', 'drawn_people_sha256', 'drawn_leaf_hash'],
  'drawn_ledger_index',
]
const STEPS = ['draw_id', 'program_id', 'test_id', 'plant_id', 'firm_id', 'at', 'step']
const LATER_STEPS = [
  ...['assigned_firm', 'test_from', 'test_until', 'retest_id', 'reason', 'salt', 'content_sha256', 'leaf_hash'],
  'ledger_index',
]
const each = <T>(columns: readonly string[], value: T): Record<string, T> =>
  Object.fromEntries(columns.map((column) => [column, value]))

export const QUALITY_VISIT_TABLES: Readonly<Record<string, TableCoverage>> = {
  quality_draw: {
    holds: 'Draws of tests to be tested again, with seed, terms and outcome.',
    row: 'id::text',
    added: ['quality-draw-without-entry'],
    removed: ['entry-without-row'],
    columns: {
      id: ['quality-draw-without-entry', 'entry-without-row'],
      ...each([...ANNOUNCED, ...DRAWN], DRAW),
      announcer_key: BY_KEY,
      drawer_key: BY_KEY,
    },
    only: each(DRAWN, drawn),
  },
  quality_visit_step: {
    holds: 'What becomes of each drawn test, step by step.',
    row: "visit_id::text || '/' || turn",
    added: ['quality-step-without-entry'],
    removed: ['entry-without-row'],
    columns: {
      visit_id: ['quality-step-without-entry', 'entry-without-row'],
      turn: ['quality-step-without-entry', 'entry-without-row'],
      ...each([...STEPS, ...LATER_STEPS], STEP),
      key_id: BY_KEY,
    },
    only: each(LATER_STEPS, after),
  },
}
