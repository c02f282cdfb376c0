/** What a publication looks at: of each plant and year, the test that was told last and the one that counts now. */
import type pg from 'pg'
import { byPlant, type FactRow, factsOfPlants } from '../facts.ts'
import { consider, historyOf } from '../plant.ts'
import { customersOf, type KeptPlant } from './customers.ts'
import { type CountedTest, countedTest } from './lattice.ts'

/** A plant and year: the test in the publication before, and the one that counts now. */
export interface Slot {
  readonly plant: string
  readonly year: number
  readonly before?: CountedTest
  readonly after?: CountedTest
}

const PLANTS_AT_ONCE = 2_000
export const slotName = (plant: string, year: number): string => `${plant} ${year}`

/** Plant by plant: of all that happened, only the tests that are or were counted are held. */
export async function readSlots(client: pg.ClientBase, upTo: number, isFirst: boolean): Promise<Map<string, Slot>> {
  const { rows: kept } = await client.query<KeptPlant>('select firm_id, plant_id, reference from ll.firm_plant')
  const customerOf = customersOf(kept)
  const told = isFirst ? new Map<string, string>() : await testsTold(client)
  const { rows } = await client.query<{ plant_id: string }>(
    'select distinct plant_id from ll.test_fact where place <= $1 order by plant_id',
    [upTo],
  )
  const plants = rows.map(({ plant_id }) => plant_id)
  const slots = new Map<string, Slot>()
  for (let from = 0; from < plants.length; from += PLANTS_AT_ONCE) {
    const facts = await factsOfPlants(client, plants.slice(from, from + PLANTS_AT_ONCE), upTo)
    for (const own of byPlant(facts)) {
      for (const slot of slotsOf(own, told, customerOf)) slots.set(slotName(slot.plant, slot.year), slot)
    }
  }
  return slots
}

/** The tests in the last publication, by plant and year. */
async function testsTold(client: pg.ClientBase): Promise<Map<string, string>> {
  const { rows } = await client.query<{ plant_id: string; year: number; test_id: string | null }>(
    `select distinct on (plant_id, year) plant_id, year, test_id from ll.published_test
     order by plant_id, year, month desc`,
  )
  return new Map(rows.flatMap((row) => (row.test_id === null ? [] : [[slotName(row.plant_id, row.year), row.test_id]])))
}

export function slotsOf(
  rows: readonly FactRow[],
  told: ReadonlyMap<string, string>,
  customerOf: (plant: string) => string,
): Slot[] {
  const slots = new Map<number, { before?: CountedTest; after?: CountedTest }>()
  const plant = rows[0]!.plant_id
  for (const { test, left } of consider(historyOf(rows), { of: 'all' })) {
    const year = Number(test.tested_on!.slice(0, 4))
    const wasTold = told.get(slotName(plant, year)) === test.test_id
    if (left !== undefined && !wasTold) continue
    const counted = countedTest(test, customerOf(plant))
    const slot = {
      ...slots.get(year),
      ...(wasTold && { before: counted }),
      ...(left === undefined && { after: counted }),
    }
    slots.set(year, slot)
  }
  return [...slots].map(([year, slot]) => ({ plant, year, ...slot }))
}
