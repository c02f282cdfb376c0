/** Statistics as tables: one row a group; a row of the trend is a year of a group. */
import { type Cell, toCsv } from '../http/csv.ts'
import { NOT_A_SAMPLE } from './charts/words.ts'
import { WIRE } from './query.ts'
import type { Statistics, StatisticsTrend } from './schemas.ts'

type Row = Readonly<Record<string, Cell>>

const sheet = (rows: readonly Row[]): string => {
  const columns = [...new Set(rows.flatMap((row) => Object.keys(row)))]
  return toCsv<Row>(columns, rows)
}

const groupCells = (group: Readonly<Record<string, string | undefined>>): Row =>
  Object.fromEntries(Object.values(WIRE).map((name) => [name, group[name]]))

export function statisticsCsv({ measure, unit, items, asOf, percentileBound }: Statistics): string {
  return sheet(
    items.map((item) => ({
      measure,
      unit,
      ...groupCells(item.group),
      tests: item.tests,
      plants: item.plants,
      mean: item.mean?.value,
      meanLow: item.mean?.low,
      meanHigh: item.mean?.high,
      meanIntervalIs: item.mean?.intervalIs,
      weightedMean: item.weightedMean?.value,
      weightedMeanLow: item.weightedMean?.low,
      weightedMeanHigh: item.weightedMean?.high,
      weightedBy: item.weightedMean?.by,
      weightedTests: item.weightedMean?.tests,
      ...Object.fromEntries(
        [10, 25, 50, 75, 90].flatMap((percent) => {
          const found = item.percentiles.find((one) => one.percent === percent)
          return [
            [`p${percent}`, found?.value],
            [`p${percent}Low`, found?.low],
            [`p${percent}High`, found?.high],
          ]
        }),
      ),
      percentileBound,
      commonUncertaintyAtMost: item.commonUncertaintyAtMost,
      ...Object.fromEntries(
        Object.entries(item.leftOut).map(([reason, n]) => [`leftOut${reason[0]!.toUpperCase()}${reason.slice(1)}`, n]),
      ),
      weightsFromBills: item.weights.bills,
      weightsFromHours: item.weights.hours,
      weightsFromVolume: item.weights.volume,
      weightsNone: item.weights.none,
      savingsReference: item.potentialSavings?.reference,
      savingsJ: item.potentialSavings?.energyJ,
      savingsLowJ: item.potentialSavings?.low,
      savingsHighJ: item.potentialSavings?.high,
      savingsResolvedJ: item.potentialSavings?.resolvedJ,
      editions: item.editions.join(' '),
      currency: item.currency,
      withheld: item.withheld,
      ledgerSize: asOf.ledgerSize,
      remark: NOT_A_SAMPLE,
    })),
  )
}

export function trendCsv({ items, asOf }: StatisticsTrend): string {
  return sheet(
    items.flatMap(({ group, allTested, panel }) =>
      allTested.map(({ year, tests, mean, low, high }) => {
        const same = panel.find((one) => one.year === year)
        return {
          ...groupCells(group),
          year,
          tests,
          mean,
          meanLow: low,
          meanHigh: high,
          samePlants: same?.plants,
          meanChange: same?.meanChange,
          meanChangeLow: same?.low,
          meanChangeHigh: same?.high,
          ledgerSize: asOf.ledgerSize,
          remark: NOT_A_SAMPLE,
        }
      }),
    ),
  )
}
