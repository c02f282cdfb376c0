/** Results by tester as a table: one row a tester and comparison. */
import { type Cell, toCsv } from '../../http/csv.ts'
import type { TesterStatistics } from './schemas.ts'

const COLUMNS = [
  ...['comparison', 'testerId', 'firmId', 'count', 'leastCount', 'plants', 'difference', 'low', 'high'],
  ...[
    'standardError',
    'statedUncertainty',
    'commonShare',
    'innerLimit',
    'outerLimit',
    'score',
    'place',
    'driver',
    'ledgerSize',
    'remark',
  ],
] as const

export function testersCsv({ allTests, samePlants, driver, ledgerSize, remark }: TesterStatistics): string {
  const rows = Object.entries({ 'all-tests': allTests, 'same-plants': samePlants }).flatMap(
    ([comparison, { testers, tooFew, ...of }]): Readonly<Record<string, Cell>>[] => {
      const same = { comparison, ...of, driver, ledgerSize, remark }
      return [
        ...testers.map((one) => ({ ...same, ...one })),
        ...tooFew.map((one) => ({ ...same, ...one, place: 'too-few' })),
      ]
    },
  )
  return toCsv<Readonly<Record<string, Cell>>>(COLUMNS, rows)
}
