/** Tests by tester, for those who may see who tested: which count, with what is on record of the plant. */
import { coverageFactor95 } from '@liftledger/calc'
import { CompiledQuery, type Transaction } from 'kysely'
import type { Database } from '../../db/schema.ts'
import { byPlant, FACT_COLUMNS, type FactRow, groupsOf } from '../facts.ts'
import type { Question } from '../gather.ts'
import { conditions } from '../matching.ts'
import { consider, historyOf, type Scope } from '../plant.ts'
import type { Repeat } from './repeats.ts'
import type { TestOfTester } from './residuals.ts'

/** Longer apart, a plant is not the same any more. */
export const REPEAT_DAYS_MAX = 120

const LEFT = ['in-question', 'unsound', 'superseded', 'withdrawn', 'without-efficiency'] as const
type LeftOut = (typeof LEFT)[number]

export interface CountedTest extends TestOfTester {
  readonly id: string
  readonly firm: string
  /** Day of the visit. */
  readonly day: string
  /** Equipment of the plant as it stood: two tests of one plant are compared only under the same. */
  readonly equipment: string
}

export interface GatheredTests {
  readonly tests: readonly CountedTest[]
  readonly leftOut: Readonly<Record<LeftOut, number>>
  readonly ledgerSize: number
}

interface EquipmentRow {
  readonly id: string
  readonly revision: string | null
  readonly since: string | null
}

/** Under the reader's own policies. All sound tests count, not one a year: that plants repeat is in the standard errors. */
export async function gatherTests(
  tx: Transaction<Database>,
  scope: Scope,
  { filters }: Question,
): Promise<GatheredTests> {
  const values: unknown[] = []
  const matching = `select distinct plant_id from ll.test_fact where happened = 'test' ${conditions(filters, values)}`
  const { rows } = await tx.executeQuery<FactRow>(
    CompiledQuery.raw(
      `select ${FACT_COLUMNS} from ll.test_fact where plant_id in (${matching}) order by plant_id, place`,
      values,
    ),
  )
  const leftOut: Record<LeftOut, number> = Object.fromEntries(LEFT.map((reason) => [reason, 0])) as never
  const counted: FactRow[] = []
  let ledgerSize = 0
  for (const own of byPlant(rows)) {
    for (const { ledger_size } of own) ledgerSize = Math.max(ledgerSize, Number(ledger_size))
    for (const { test, left } of consider(historyOf(own), scope)) {
      if (!passes(test, filters)) continue
      const reason = left === undefined || left === 'another-in-the-year' ? undefined : left
      if (reason !== undefined) leftOut[reason] += 1
      else if (!(test.efficiency !== null && test.efficiency > 0)) leftOut['without-efficiency'] += 1
      else counted.push(test)
    }
  }
  const equipment = await equipmentOf(
    tx,
    counted.map(({ test_id }) => test_id),
  )
  return { tests: counted.map((row) => toCounted(row, equipment.get(row.test_id))), leftOut, ledgerSize }
}

/** Tests of a plant beside those asked for are read to see which of them count, and go no further. */
function passes(test: FactRow, filters: Question['filters']): boolean {
  const { at } = groupsOf(test)
  return [...filters].every(([dimension, allowed]) => allowed.has(at[dimension]))
}

async function equipmentOf(tx: Transaction<Database>, ids: readonly string[]): Promise<Map<string, EquipmentRow>> {
  const { rows } = await tx.executeQuery<EquipmentRow>(
    CompiledQuery.raw(
      `select test.id, held.plant #>> '{equipment,revision}' as revision, held.plant #>> '{equipment,effectiveFrom}' as since
       from ll.field_test test
       join ll.context_snapshot snapshot on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
       cross join lateral (select convert_from(snapshot.body, 'UTF8')::json -> 'plant' as plant) held
       where test.id = any ($1::uuid[])`,
      [ids],
    ),
  )
  return new Map(rows.map((row) => [row.id, row]))
}

/** Of a meter that stays at the plant the tester brings nothing along: its error says nothing of him. */
const METERS_OF_THE_PLANT: ReadonlySet<string> = new Set(['meter-rate', 'meter-totaliser'])

const DAY = 86_400_000
const YEAR = 365.25 * DAY

function toCounted(row: FactRow, equipment: EquipmentRow | undefined): CountedTest {
  const { at } = groupsOf(row)
  const since = equipment?.since ?? undefined
  return {
    id: row.test_id,
    tester: row.tester_id!,
    firm: row.firm_id,
    plant: row.plant_id,
    day: row.tested_on!,
    kind: at.kind,
    powerClass: at['power-class'],
    region: at.region,
    ageYears: since === undefined ? undefined : Math.max(0, (Date.parse(row.tested_on!) - Date.parse(since)) / YEAR),
    equipment: equipment?.revision ?? '',
    efficiency: row.efficiency!,
    // What is kept is the half-width of the 95 % interval.
    relativeUncertainty: (row.efficiency_u ?? 0) / coverageFactor95(Infinity) / row.efficiency!,
    ownFlowInstrument: !METERS_OF_THE_PLANT.has(at['flow-method']),
  }
}

/**
 * Pairs of tests of one plant by two firms, each with a flow instrument of its own, near in time and under one equipment. A test is in one pair at most: in two,
 * its error would count twice.
 */
export function repeatsOf(tests: readonly CountedTest[], daysMax = REPEAT_DAYS_MAX): Repeat[] {
  const repeats: Repeat[] = []
  const comparable = tests.filter(({ ownFlowInstrument }) => ownFlowInstrument)
  for (const own of Map.groupBy(comparable, ({ plant, equipment }) => `${plant}|${equipment}`).values()) {
    const inOrder = own.toSorted((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.id < b.id ? -1 : 1))
    for (let n = 0; n + 1 < inOrder.length; n++) {
      const [one, next] = [inOrder[n]!, inOrder[n + 1]!]
      const days = (Date.parse(next.day) - Date.parse(one.day)) / DAY
      if (one.firm === next.firm || days > daysMax) continue
      repeats.push({
        first: one.tester,
        second: next.tester,
        plant: one.plant,
        difference: Math.log(one.efficiency / next.efficiency),
        uncertainties: [one.relativeUncertainty, next.relativeUncertainty],
      })
      n += 1
    }
  }
  return repeats
}
