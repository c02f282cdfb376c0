/** Names that nobody bears: made of invented syllables, and marked. */
import type { Random } from './random.ts'

/** Stands in every name that could be taken for that of a firm. */
export const MARK = '(invented)'

const STARTS = [
  'Os',
  'Venn',
  'Tal',
  'Quor',
  'Mire',
  'Hals',
  'Brenn',
  'Ild',
  'Sorr',
  'Fenn',
  'Dray',
  'Ulm',
  'Wex',
  'Cald',
]
const ENDS = ['trel', 'hollow', 'var', 'wick', 'mond', 'sted', 'lund', 'eth', 'gard', 'ric', 'ombe', 'aster']
const TRADES = ['Field Measurement', 'Water Testing', 'Pump Testing', 'Well Services', 'Flow and Power']

/** Name of a firm; the number keeps two firms apart. */
export const firmName = (random: Random, number: number): string =>
  `${random.pick(STARTS)}${random.pick(ENDS)} ${random.pick(TRADES)} ${number} ${MARK}`

export const BASIN_NAME = 'Ambermoor Basin'

/** Regions of the basin, from the hills down to the flats. */
export const REGION_CODES = ['Upper-Ambermoor', 'Lower-Ambermoor', 'Sallow-Bench', 'Thornlow', 'Wexmarsh'] as const
