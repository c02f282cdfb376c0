/** A service with an invented basin, published month after month; and what was true of it. */

import type { Deps } from '../../packages/service/src/deps.ts'
import { publishMonth } from '../../packages/service/src/statistics/published/publish.ts'
import { type BasinOptions, simulateBasin } from '../../packages/simulator/src/index.ts'
import { registerSimulated, submitVisits } from '../../seed/fill.ts'
import type { Cell, Month, Test } from './attack.ts'

/** Names of the months, in their order. */
export const monthOf = (n: number): string => `2026-${String(5 + n).padStart(2, '0')}`
export const FAMILIES = ['overall-plant-efficiency', 'energy-and-water', 'standing-water-level'] as const
export type Family = (typeof FAMILIES)[number]

/** A service that is listening and holds nothing yet. */
export interface Running {
  readonly deps: Pick<Deps, 'databases' | 'now'>
  readonly url: string
  readonly adminKey: string
}

export interface World {
  readonly tests: readonly Test[]
  /** Keys of the firms. */
  readonly keys: readonly string[]
  /** By family. */
  readonly months: Readonly<Record<Family, readonly Month[]>>
  /** How long the publications took, in s. */
  readonly seconds: readonly number[]
}

/** `received`: the share of the visits, the first ones, that have come by the end of each month. */
export async function publishedBasin(
  service: Running,
  options: BasinOptions,
  received: readonly number[],
): Promise<World> {
  const { basin, visits, appointments } = simulateBasin(options)
  const firms = await registerSimulated(service.url, service.adminKey, basin)
  const all = [...visits]
  const seconds: number[] = []
  let from = 0
  for (const [n, share] of received.entries()) {
    const to = Math.round(appointments.length * share)
    await submitVisits(firms, all.slice(from, to), { atOnce: 8 })
    from = to
    const at = service.deps.now()
    const started = performance.now()
    const end = new Date(at.getTime() + 1)
    await publishMonth(service.deps.databases.statistics, { month: monthOf(n), end, at })
    seconds.push((performance.now() - started) / 1000)
  }
  const tests = await testsOf(service)
  const months: Record<Family, Month[]> = {
    'overall-plant-efficiency': [],
    'energy-and-water': [],
    'standing-water-level': [],
  }
  for (const month of received.map((_, n) => monthOf(n))) {
    const [told, counting] = [await testsIn(service, month), await testsCounting(service, month)]
    for (const family of FAMILIES) {
      months[family].push({ month, tests: told, counting, cells: await cellsOf(service, month, family) })
    }
  }
  return { keys: [...firms.values()].map(({ key }) => key), tests, months, seconds }
}

interface Answered {
  readonly of: Cell['of']
  readonly figures: Readonly<Record<string, { readonly value: number | null; readonly withheld?: string }>>
}

/** As everybody is answered. */
async function cellsOf({ url }: Running, month: string, family: Family): Promise<Cell[]> {
  const answer = await fetch(`${url}/v1/statistics/publications/${month}/cells?figuresOf=${family}`)
  if (!answer.ok) throw new Error(`The cells of ${month} answered ${answer.status}.`)
  const { items } = (await answer.json()) as { items: Answered[] }
  return items.map(({ of, figures }) => ({ of, withheld: figures.tests!.withheld }))
}

/** What was true: every sound test, as the narrow rows have it. */
async function testsOf({ deps }: Running): Promise<Test[]> {
  const { rows } = await deps.databases.statistics.query<Record<string, string | number | null>>(
    `select fact.test_id, fact.plant_id, fact.firm_id, left(fact.tested_on::text, 4) as year,
            fact.groups, fact.efficiency, fact.annual_energy_j, fact.annual_volume_m3, fact.standing_level_m,
            (select min(reference) from ll.firm_plant kept where kept.plant_id = fact.plant_id) as customer
     from ll.test_fact fact where fact.happened = 'test' and fact.soundness = 'sound'`,
  )
  return rows.map((row) => {
    const [driver, kind, region, powerClass] = String(row.groups).split('|')
    const amount = (name: string): number => Number(row[name] ?? 0)
    const use = Math.min(amount('annual_energy_j'), amount('annual_volume_m3'), amount('efficiency')) > 0
    return {
      id: String(row.test_id),
      plant: String(row.plant_id),
      customer: String(row.customer),
      firm: String(row.firm_id),
      driver: driver!,
      kind: kind!,
      region: region!,
      powerClass: powerClass!,
      year: String(row.year),
      amounts: {
        efficiency: amount('efficiency'),
        energy: use ? amount('annual_energy_j') : 0,
        water: use ? amount('annual_volume_m3') : 0,
        usefulEnergy: use ? amount('annual_energy_j') * amount('efficiency') : 0,
        standingLevel: amount('standing_level_m'),
      },
    }
  })
}

async function testsIn({ deps }: Running, month: string): Promise<Set<string>> {
  const { rows } = await deps.databases.statistics.query<{ test_id: string | null }>(
    `select distinct on (plant_id, year) test_id from ll.published_test where month <= $1
     order by plant_id, year, month desc`,
    [month],
  )
  return new Set(rows.flatMap(({ test_id }) => test_id ?? []))
}

/** The tests that count at the end of a month, whether they came into its sums or wait: of each plant and year the last sound one. */
async function testsCounting({ deps }: Running, month: string): Promise<Set<string>> {
  const { rows } = await deps.databases.statistics.query<{ test_id: string }>(
    `select distinct on (fact.plant_id, left(fact.tested_on::text, 4)) fact.test_id
     from ll.statistics_publication publication
     join ll.test_fact fact on fact.place <= publication.place and fact.happened = 'test' and fact.soundness = 'sound'
     where publication.month = $1
       and not exists (select from ll.test_fact later where later.test_id = fact.test_id
                       and later.happened in ('superseded', 'withdrawn') and later.place <= publication.place)
     order by fact.plant_id, left(fact.tested_on::text, 4), fact.tested_on desc, fact.place desc`,
    [month],
  )
  return new Set(rows.map(({ test_id }) => test_id))
}
