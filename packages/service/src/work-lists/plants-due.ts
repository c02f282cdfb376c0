/** Which plants are due for a test: their last sound test is longer ago than a program’s rules, or the reader, ask. */
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Principal } from '../http/principal.ts'
import type { PlantFacts } from '../programs/interval.ts'
import { dayNumber } from './days.ts'
import type { Placed } from './pages.ts'
import type { PlantDue, PlantsDue } from './schemas.ts'
import { inRegion, type PlantRow, STANDS, soundnessFor } from './sound-tests.ts'

interface StateRow extends PlantRow {
  readonly equipment: Pick<PlantFacts, 'driver' | 'ratedPower'> | null
  readonly sound_id: string | null
  readonly sound_on: string | null
  readonly last_id: string | null
  readonly last_on: string | null
  readonly last_soundness: string | null
}

/** Each plant with its equipment of today, its last sound test and its last test that stands. */
export async function statesOfPlants(
  tx: Transaction<Database>,
  reader: Principal,
  { today, region }: { readonly today: string; readonly region: string | undefined },
): Promise<StateRow[]> {
  const soundness = soundnessFor(reader)
  const { rows } = await sql<StateRow>`
    select plant.id, plant.code, plant.kind, plant.region, equipment.facts as equipment,
           sound.id as sound_id, sound.tested_on as sound_on,
           last.id as last_id, last.tested_on as last_on, last.soundness as last_soundness
    from plant
    left join lateral (
      select facts from plant_equipment record
      where record.plant_id = plant.id and record.effective_from <= ${today}::date
      order by record.effective_from desc, record.revision desc limit 1) equipment on true
    left join lateral (
      select test.id, test.tested_on, ${soundness} as soundness from field_test test
      where test.plant_id = plant.id and ${STANDS}
      order by test.tested_on desc, test.id desc limit 1) last on true
    left join lateral (
      select test.id, test.tested_on from field_test test
      where test.plant_id = plant.id and ${STANDS} and ${soundness} = 'sound'
      order by test.tested_on desc, test.id desc limit 1) sound on true
    where ${inRegion(region)}`.execute(tx)
  return rows
}

export interface Asked {
  readonly today: string
  /** Days ahead that are looked at too. */
  readonly withinDays: number
  /** Undefined where no rule asks for an interval of the plant. */
  daysFor(plant: PlantFacts): number | undefined
}

export interface DuePlant extends Placed {
  readonly row: StateRow
  readonly intervalDays: number
  readonly because: PlantDue['because']
  /** As a number of the day; undefined without a sound test. */
  readonly dueOn?: number
}

export interface Due {
  readonly plants: readonly DuePlant[]
  readonly byReason: PlantsDue['plantsByReason']
}

/** After every day. */
const [NO_SOUND_TEST, NEVER_TESTED] = [1e9, 2e9]

const MEMBERS = {
  'interval-passed': 'intervalPassed',
  'interval-will-pass': 'intervalWillPass',
  'no-sound-test': 'noSoundTest',
  'never-tested': 'neverTested',
} as const satisfies Record<PlantDue['because'], keyof PlantsDue['plantsByReason']>

/** Pure. Without a sound test a plant is due whatever the interval. */
export function duePlants(rows: readonly StateRow[], { today, withinDays, daysFor }: Asked): Due {
  const plants: DuePlant[] = []
  const byReason = {
    intervalPassed: 0,
    intervalWillPass: 0,
    noSoundTest: 0,
    neverTested: 0,
    notDue: 0,
    withoutInterval: 0,
  }
  const day = dayNumber(today)
  const add = (because: PlantDue['because'], due: Omit<DuePlant, 'because'>): void => {
    byReason[MEMBERS[because]] += 1
    plants.push({ because, ...due })
  }
  for (const row of rows) {
    const { driver, ratedPower } = row.equipment ?? {}
    const intervalDays = daysFor({ kind: row.kind, region: row.region ?? undefined, driver, ratedPower })
    if (intervalDays === undefined) {
      byReason.withoutInterval += 1
    } else if (row.sound_on !== null) {
      const dueOn = dayNumber(row.sound_on) + intervalDays
      const due = { row, intervalDays, dueOn, place: [dueOn, row.id] as const }
      if (dueOn <= day) add('interval-passed', due)
      else if (dueOn <= day + withinDays) add('interval-will-pass', due)
      else byReason.notDue += 1
    } else if (row.last_id !== null) {
      add('no-sound-test', { row, intervalDays, place: [NO_SOUND_TEST, row.id] })
    } else {
      add('never-tested', { row, intervalDays, place: [NEVER_TESTED, row.id] })
    }
  }
  return { plants, byReason }
}
