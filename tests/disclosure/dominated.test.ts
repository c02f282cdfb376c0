/**
 * Cells that one customer dominates are withheld with those that hide them, since waiting doesn't help. Invented plants of three regions
 * and two classes; a customer of one region and class draws most of its energy.
 */
import { beforeAll, describe, expect, test } from 'vitest'
import type { FactRow } from '../../packages/service/src/statistics/facts.ts'
import { type Decided, decide } from '../../packages/service/src/statistics/published/decide.ts'
import { type CountedTest, countedTest } from '../../packages/service/src/statistics/published/lattice.ts'
import { toCellOf } from '../../packages/service/src/statistics/published/schemas.ts'
import type { Month, Test } from './attack.ts'
import { attackAll } from './measure.ts'
import { FAMILIES, type Family, type World } from './world.ts'

const REGIONS = ['East', 'North', 'West']
const CLASSES = ['50-to-74-hp', '75-to-124-hp']
const PLANTS = 16
const FIRMS = 4
const DOMINANT_KWH = 15_000_000
const ENDED = 2027
const P = 0.15
const TOLERANCE = 1e-5

function counted(region: string, powerClass: string, n: number): CountedTest {
  const plant = `${region} ${powerClass} ${n}`
  const isDominant = region === 'East' && powerClass === CLASSES[0] && n === 0
  // Spread, so that no two plants are alike.
  const kwh = isDominant ? DOMINANT_KWH : 60_000 + 7_919 * ((n * 5 + region.length) % 11)
  const row = {
    test_id: `test of ${plant}`,
    plant_id: plant,
    firm_id: `firm ${n % FIRMS}`,
    tester_id: 'tester',
    tested_on: '2026-05-12',
    edition: '2026-1',
    groups: `electric-motor|well|${region}|${powerClass}|pitot-traverse|airline|meter-display|bills|USD`,
    efficiency: 0.5 + 0.01 * (n % 13),
    efficiency_u: 0.03,
    annual_energy_j: kwh * 3.6e6,
    annual_volume_m3: kwh * (3 + 0.1 * (n % 7)),
  }
  return countedTest(row as unknown as FactRow, `customer of ${plant}`)
}

const all = REGIONS.flatMap((region) =>
  CLASSES.flatMap((powerClass) => Array.from({ length: PLANTS }, (_, n) => counted(region, powerClass, n))),
)

/** What is told at the end of a month in which those tests count. */
const publish = (tests: readonly CountedTest[], before?: Decided): Promise<Decided> => {
  const told = new Set(before?.tests)
  const slots = tests.map((after) => ({
    plant: after.plant,
    year: 2026,
    after,
    ...(told.has(after) && { before: after }),
  }))
  return decide(slots, before, ENDED)
}

const toTest = ({
  row,
  plant,
  customer,
  firm,
  driver,
  values: [kind, region, powerClass, year],
}: CountedTest): Test => ({
  ...{ id: row.test_id, plant, customer, firm, driver },
  ...{ kind: kind!, region: region!, powerClass: powerClass!, year: year! },
  amounts: {
    efficiency: row.efficiency!,
    energy: row.annual_energy_j!,
    water: row.annual_volume_m3!,
    usefulEnergy: row.annual_energy_j! * row.efficiency!,
    standingLevel: 0,
  },
})

let made: Decided[]
let world: World
beforeAll(async () => {
  const first = await publish(all.filter((_, n) => n % PLANTS < PLANTS / 2 + 4))
  made = [first, await publish(all, first)]
  const monthsOf = (family: Family): Month[] =>
    made.map(({ tests, cells }, n) => ({
      month: `month ${n}`,
      tests: new Set(tests.map(({ row }) => row.test_id)),
      counting: new Set(tests.map(({ row }) => row.test_id)),
      cells: cells.flatMap(({ family: own, driver, cell, mark }) =>
        own === family ? { of: toCellOf(driver, cell), withheld: mark } : [],
      ),
    }))
  const [efficiency, use, level] = FAMILIES
  const months = { [efficiency]: monthsOf(efficiency), [use]: monthsOf(use), [level]: monthsOf(level) }
  world = { tests: all.map(toTest), keys: [], months, seconds: [] }
})

const withheldIn = ({ cells }: Decided, mark: string): number => cells.filter((cell) => cell.mark === mark).length
const ATTACKERS = { of: 'cells', customers: true, firmsWithCustomers: true, threePlants: true } as const
const boundsOf = (wanted: Parameters<typeof attackAll>[1]) =>
  [...attackAll(world, wanted)].flatMap(({ bounds }) => bounds)

describe('a cell that a customer dominates', () => {
  test('is withheld, in energy and water only, with cells that hide it', () => {
    for (const one of made) {
      expect(withheldIn(one, 'dominated')).toBeGreaterThan(0)
      expect(withheldIn(one, 'protects another cell')).toBeGreaterThan(0)
      expect(new Set(one.cells.flatMap(({ family, mark }) => (mark === undefined ? [] : family)))).toEqual(
        new Set(['energy-and-water']),
      )
    }
  })

  test('lets later tests in', () => {
    expect(made[1]!.tests.length).toBeGreaterThan(made[0]!.tests.length)
  })

  test('is bounded by no firm, customer or three plants nearer than p percent', () => {
    const bounds = boundsOf(ATTACKERS)
    expect(bounds.length).toBeGreaterThan(1_000)
    expect(bounds.filter(({ distance }) => distance < P - TOLERANCE)).toEqual([])
  }, 120_000)

  test('is found once the cells that hide it are told', () => {
    const [nearest] = boundsOf({ ...ATTACKERS, firmsWithCustomers: false, undone: 'protection' })
    expect(nearest!.distance).toBeLessThan(0.01)
  }, 120_000)
})
