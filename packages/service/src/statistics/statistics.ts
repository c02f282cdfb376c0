/** A whole answer: question, cells, figures. */
import type { Databases } from '../db/database.ts'
import type { Principal, Role } from '../http/principal.ts'
import { figuresOf } from './answer.ts'
import { PERCENTILE_BOUND } from './bins.ts'
import { NOT_A_SAMPLE } from './charts/words.ts'
import { type Gathered, gather } from './gather.ts'
import { MEASURE_IDS, MEASURES, type MeasureId } from './measures.ts'
import { type FilterQuery, questionOf } from './query.ts'
import type { Statistics, StatisticsTrend } from './schemas.ts'
import { trendOf } from './trend.ts'

type Source = Pick<Databases, 'asPrincipal' | 'statistics'>

const OF: Partial<Record<Role, Statistics['of']>> = {
  firm: 'own-tests',
  program: 'tests-given-to-the-program',
  auditor: 'all-tests',
}

const asOf = ({ ledgerSize, tail }: Gathered): Statistics['asOf'] => ({
  ledgerSize,
  madeFrom: tail === undefined ? 'tests' : 'cells',
})

export async function statisticsOf(
  databases: Source,
  principal: Principal,
  query: FilterQuery & { readonly groupBy: string; readonly measure: MeasureId },
): Promise<Statistics> {
  const question = questionOf(query, query.groupBy)
  const gathered = await gather(databases, principal, question)
  return {
    measure: query.measure,
    unit: MEASURES[MEASURE_IDS.indexOf(query.measure)]!.unit,
    of: OF[principal.role]!,
    oneTestAPlantAYear: true,
    percentileBound: PERCENTILE_BOUND,
    notASample: NOT_A_SAMPLE,
    asOf: asOf(gathered),
    items: gathered.groups.map((group) => figuresOf(group, question, query.measure, query)),
  }
}

export async function trendAnswer(
  databases: Source,
  principal: Principal,
  query: FilterQuery & { readonly groupBy: string },
): Promise<StatisticsTrend> {
  const { items, from } = await trendOf(databases, principal, questionOf(query, query.groupBy))
  return { notASample: NOT_A_SAMPLE, asOf: asOf(from), items }
}
