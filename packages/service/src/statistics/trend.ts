/** Efficiency over the years, two ways: all plants tested in a year, and the same plants from a year to the next. */
import { coverageFactor95 } from '@liftledger/calc'
import type { Databases } from '../db/database.ts'
import type { Principal } from '../http/principal.ts'
import { ends } from './answer.ts'
import { CHANGE_RAISE, CHANGE_STEP, FIRST_YEAR, PAIR_BINS } from './cell.ts'
import { joined } from './dimensions.ts'
import { meanOf } from './estimate.ts'
import { type Gathered, gather, type Question } from './gather.ts'
import { EFFICIENCY, MEASURES } from './measures.ts'
import { countsOf, type Part } from './part.ts'
import { groupOf } from './query.ts'
import type { TrendGroup } from './schemas.ts'
import { SLOTS } from './sums.ts'

const STEP = MEASURES[EFFICIENCY].step

/** Mean changes of plants from one year to the next, with t intervals over plants. */
function panelOf(parts: readonly Part[]): TrendGroup['panel'] {
  const changes = new Map(countsOf(parts, PAIR_BINS.changes).each())
  const squares = new Map(countsOf(parts, PAIR_BINS.squares).each())
  return countsOf(parts, PAIR_BINS.pairs)
    .each()
    .map(([bin, plants]) => {
      const sum = (changes.get(bin) ?? 0) - plants * CHANGE_RAISE
      const mean = sum / plants
      const variance = plants < 2 ? undefined : ((squares.get(bin) ?? 0) - sum * mean) / (plants - 1)
      const half =
        variance === undefined ? undefined : coverageFactor95(plants - 1) * Math.sqrt(Math.max(0, variance) / plants)
      return {
        year: bin + FIRST_YEAR,
        plants,
        meanChange: mean * CHANGE_STEP,
        ...(half !== undefined && { low: (mean - half) * CHANGE_STEP, high: (mean + half) * CHANGE_STEP }),
      }
    })
}

export interface Trend {
  readonly items: TrendGroup[]
  readonly from: Gathered
}

/** Groups are those of the question; years are told within each. */
export async function trendOf(
  databases: Pick<Databases, 'asPrincipal' | 'statistics'>,
  principal: Principal,
  question: Question,
): Promise<Trend> {
  const groupBy = question.groupBy.filter((dimension) => dimension !== 'year')
  const overall = await gather(databases, principal, { ...question, groupBy })
  const yearly = await gather(databases, principal, { ...question, groupBy: [...groupBy, 'year'] })
  const years = Map.groupBy(yearly.groups, ({ key }) => joined(key.slice(0, -1)))
  const items = overall.groups.map(({ key, parts }) => ({
    group: groupOf(groupBy, key),
    allTested: (years.get(joined(key)) ?? []).flatMap((group) => {
      const mean = meanOf(group.parts, SLOTS.measures[EFFICIENCY]!)
      if (mean === undefined) return []
      return { year: Number(group.key.at(-1)), tests: mean.tests, mean: mean.value * STEP, ...ends(mean, STEP) }
    }),
    panel: panelOf(parts),
  }))
  return { items, from: yearly }
}
