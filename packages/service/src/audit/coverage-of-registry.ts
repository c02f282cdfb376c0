/**
 * The registry: firms, plants, people, instruments, keys. It is no part of the ledger. What a test rested on stands in
 * its context, whose hash does; the registry itself may be corrected, and its history is kept by append-only tables
 * that the database guards and nothing proves.
 */
import type { TableCoverage } from './cover.ts'

const REGISTRY = 'the registry is not in the ledger; what tests rested on is in their contexts'
const ACCESS = 'who is let in is not in the ledger'
const WORD = 'what a grower said is not in the ledger'
const CHANGE = 'the history of the registry is not in the ledger'
const CODE = ['test-not-as-on-sheet'] as const

const all = (columns: string, why: string): Record<string, string> =>
  Object.fromEntries(columns.split(' ').map((column) => [column, why]))

const uncovered = (holds: string, why: string, columns: string): TableCoverage => ({
  holds,
  added: why,
  removed: why,
  columns: all(columns, why),
})

export const REGISTRY_TABLES: Readonly<Record<string, TableCoverage>> = {
  plant: {
    ...uncovered('Plants, shared by firms.', REGISTRY, ''),
    row: 'id::text',
    columns: { ...all('id kind region registered_by created_at', REGISTRY), code: CODE },
    only: {
      code: {
        says: 'of plants that were tested',
        where: 'exists (select from ll.field_test t where t.plant_id = plant.id)',
      },
    },
  },
  tester: {
    ...uncovered('Testers of firms.', REGISTRY, ''),
    row: 'id::text',
    columns: { ...all('id firm_id name created_at', REGISTRY), code: CODE },
    only: {
      code: {
        says: 'of those who tested',
        where: 'exists (select from ll.field_test t where t.tester_id = tester.id)',
      },
    },
  },
  firm: uncovered('Firms.', REGISTRY, 'id name created_at'),
  program: uncovered('Programs.', REGISTRY, 'id name created_at'),
  firm_plant: uncovered('Which firm has access to which plant.', REGISTRY, 'firm_id plant_id reference created_at'),
  plant_equipment: uncovered(
    'Equipment of plants, as revisions.',
    REGISTRY,
    'plant_id revision effective_from facts recorded_by key_id recorded_at',
  ),
  plant_meter: uncovered(
    'Utility meters of plants, as revisions.',
    REGISTRY,
    'plant_id number effective_from effective_until revision withdrawn recorded_by key_id recorded_at',
  ),
  tester_qualification: uncovered(
    'Qualifications of testers, as revisions.',
    REGISTRY,
    'firm_id tester_id code valid_from valid_until revision withdrawn key_id recorded_at',
  ),
  instrument: uncovered('Instruments of firms.', REGISTRY, 'id firm_id code kind created_at'),
  instrument_revision: uncovered(
    'Certificates and accuracies of instruments, as revisions.',
    REGISTRY,
    'firm_id instrument_id revision effective_from facts key_id recorded_at',
  ),
  instrument_check: uncovered(
    'Checks of instruments.',
    REGISTRY,
    'id firm_id instrument_id checked_on reference_value shown_value unit difference allowed judged_by outcome key_id recorded_at',
  ),
  registry_change: uncovered(
    'Who changed what in the registry.',
    CHANGE,
    'id noun subject firm_id by_firm deed changes key_id recorded_at',
  ),
  access_request: uncovered(
    'Requests for access to a plant.',
    WORD,
    'id firm_id plant_code consented_at evidence key_id requested_at',
  ),
  access_decision: uncovered('What became of them.', WORD, 'request_id firm_id outcome reason key_id decided_at'),
  plant_history_consent: uncovered(
    'Whose tests of a plant another firm may see.',
    WORD,
    'plant_id from_firm to_firm turn consent consented_at evidence recorded_at key_id previous_turn',
  ),
  api_key: uncovered(
    'Keys of callers.',
    ACCESS,
    'id hash role firm_id program_id scopes name created_at expires_at revoked_at replaced_by holder',
  ),
  token_principal: uncovered(
    'Whom the issuer of tokens vouches for.',
    ACCESS,
    'id issuer subject role firm_id program_id scopes name created_at removed_at holder',
  ),
}
