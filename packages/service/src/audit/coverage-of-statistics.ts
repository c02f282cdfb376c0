/** What an audit covers of statistics: nothing here is the only copy of a fact. */
import type { TableCoverage } from './cover.ts'

const DERIVED = 'follows from sheet, context and edition of the test, which are covered'
const HAPPENED = 'follows from test, closure, decision and turn, which are covered as far as their own tables say'
const ORDER =
  'the order in which rows were added; figures depend on it only where two tests of one day and plant compete'
const CELLS = 'made from the narrow rows; a rebuild gives the same bytes'

const PUBLISHED =
  'a summary of narrow rows by rules that are decided once; it is refused to be changed, and stands in no entry'

const columns = (names: string, why: string): Record<string, string> =>
  Object.fromEntries(names.split(' ').map((name) => [name, why]))

export const STATISTICS_TABLES: Readonly<Record<string, TableCoverage>> = {
  test_fact: {
    holds: 'What statistics take of each test, and what became of it.',
    added: HAPPENED,
    removed: HAPPENED,
    columns: {
      place: ORDER,
      ledger_size: ORDER,
      ...columns('happened test_id firm_id plant_id program_id soundness', HAPPENED),
      ...columns('tester_id tested_on edition groups flow_m3_s head_m lift_m input_power_w efficiency', DERIVED),
      ...columns('efficiency_u specific_capacity_m2_s energy_per_volume_j_m3 standing_level_m', DERIVED),
      ...columns('annual_energy_j annual_volume_m3 cost_per_volume', DERIVED),
    },
  },
  statistics_cell: {
    holds: 'What the tests of groups add up to.',
    added: CELLS,
    removed: CELLS,
    columns: columns('scope cuboid key body place', CELLS),
  },
  statistics_publication: {
    holds: 'Months of public statistics.',
    added: PUBLISHED,
    removed: PUBLISHED,
    columns: columns('month published_at place ledger_size lattice rules', PUBLISHED),
  },
  published_test: {
    holds: 'Which test of a plant and year is in publications, from which month on.',
    added: PUBLISHED,
    removed: PUBLISHED,
    columns: columns('month plant_id year test_id', PUBLISHED),
  },
  published_cell: {
    holds: 'What cells of public statistics say, or why they say nothing.',
    added: PUBLISHED,
    removed: PUBLISHED,
    columns: columns('month family driver cell mark told', PUBLISHED),
  },
  published_peers: {
    holds: 'What a firm is told of its peers.',
    added: PUBLISHED,
    removed: PUBLISHED,
    columns: columns('month firm_id cells', PUBLISHED),
  },
  statistics_fold: {
    holds: 'Up to where rows are in the cells.',
    added: CELLS,
    removed: CELLS,
    columns: columns('one place ledger_size layout', CELLS),
  },
}
