/** Which plants lose efficiency faster than their uncertainty, between changes of their equipment. */
import { coverageFactor95, editionById } from '@liftledger/calc'
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Principal } from '../http/principal.ts'
import { DAYS_A_YEAR, dayNumber } from './days.ts'
import type { Placed } from './pages.ts'
import type { PlantFalling, PlantsFalling } from './schemas.ts'
import { type EfficiencyRow, ofPlants, type PlantRow, plantsTested, soundEfficiencies } from './sound-tests.ts'
import { type Line, weightedLine } from './weighted-line.ts'

const TESTS_MIN = 3
const DAYS_MIN = 365

export interface FallingPlant extends Placed {
  readonly plant: PlantRow
  readonly line: Line
  readonly tests: readonly EfficiencyRow[]
  readonly equipmentSince: string | undefined
  readonly velocityHead: PlantFalling['velocityHead']
}

export interface Falling {
  readonly plants: readonly FallingPlant[]
  readonly lookedAt: PlantsFalling['plantsLookedAt']
}

export async function fallingPlants(
  tx: Transaction<Database>,
  reader: Principal,
  region: string | undefined,
): Promise<Falling> {
  const tested = await plantsTested(tx, { tests: TESTS_MIN, days: DAYS_MIN, region })
  const plants: FallingPlant[] = []
  const lookedAt = { withSoundTests: 0, tooFewTests: 0, fitted: 0, falling: 0, byChanceAtMost: 0 }
  const changes = new Map<string, readonly string[]>()
  const read = async (ids: readonly string[]): Promise<EfficiencyRow[]> => {
    for (const { plant_id, days } of await equipmentChanges(tx, ids)) changes.set(plant_id, days)
    return soundEfficiencies(tx, reader, ids)
  }
  for await (const { plant, rows } of ofPlants(tested, read)) {
    if (rows.length === 0) continue
    lookedAt.withSoundTests += 1
    const since = sinceLastChange(rows, changes.get(plant.id) ?? [])
    const line = lineThrough(since.tests)
    if (line === undefined) {
      lookedAt.tooFewTests += 1
      continue
    }
    lookedAt.fitted += 1
    if (line.high >= 0) continue
    lookedAt.falling += 1
    plants.push({ plant, line, ...since, place: [line.slope, plant.id] })
  }
  lookedAt.byChanceAtMost = ONE_SIDED * lookedAt.fitted
  return { plants, lookedAt }
}

/** Of a two-sided 95 % interval, what lies beyond one end. */
const ONE_SIDED = 0.025

/**
 * Members of the equipment that say how it is measured, not what it is. A change of them repairs nothing.
 */
const OF_MEASURING = [
  'meterConstant',
  'meterEnergyPerPulse',
  'meterPulseConstant',
  'meterSerial',
  'meterMultiplier',
  'highestFlow',
]

/** Days from which on plants have other equipment than before, oldest first. Of one day the last word counts. */
async function equipmentChanges(
  tx: Transaction<Database>,
  plants: readonly string[],
): Promise<{ readonly plant_id: string; readonly days: readonly string[] }[]> {
  const { rows } = await sql<{ plant_id: string; days: string[] }>`
    select plant_id, array_agg(effective_from::text order by effective_from) as days
    from (
      select plant_id, effective_from, facts - ${OF_MEASURING}::text[] as facts,
             lag(facts - ${OF_MEASURING}::text[]) over (partition by plant_id order by effective_from) as before
      from (
        select distinct on (plant_id, effective_from) plant_id, effective_from, facts
        from plant_equipment where plant_id = any (${plants}::uuid[])
        order by plant_id, effective_from, revision desc) said) change
    where before is not null and facts <> before
    group by plant_id`.execute(tx)
  return rows
}

type Since = Pick<FallingPlant, 'tests' | 'equipmentSince' | 'velocityHead'>

/** Head setting of an edition: only results of one setting are compared. */
const velocityHeadOf = (edition: string): PlantFalling['velocityHead'] =>
  editionById(edition)?.settings.velocityHead ?? 'not-known'

/** Tests since the equipment of the last one was changed, with its head setting. Rows oldest first, one at least. */
export function sinceLastChange(rows: readonly EfficiencyRow[], changes: readonly string[]): Since {
  const last = rows.at(-1)!
  const equipmentSince = changes.findLast((day) => day <= last.tested_on)
  const velocityHead = velocityHeadOf(last.edition)
  const tests = rows.filter(
    ({ tested_on, edition }) =>
      (equipmentSince === undefined || tested_on >= equipmentSince) && velocityHeadOf(edition) === velocityHead,
  )
  return { tests, equipmentSince, velocityHead }
}

/** What is stored is the half-width of a 95 % interval; with the least factor u is never told too small. */
const FACTOR = coverageFactor95(Number.POSITIVE_INFINITY)

/** Efficiency over years; undefined with too few tests, or over too short a time. */
export function lineThrough(tests: readonly EfficiencyRow[]): Line | undefined {
  if (tests.length < TESTS_MIN) return undefined
  const days = dayNumber(tests.at(-1)!.tested_on) - dayNumber(tests[0]!.tested_on)
  if (days < DAYS_MIN) return undefined
  return weightedLine(
    tests.map(({ tested_on, efficiency, efficiency_u }) => ({
      x: dayNumber(tested_on) / DAYS_A_YEAR,
      y: efficiency,
      u: efficiency_u / FACTOR,
    })),
  )
}
