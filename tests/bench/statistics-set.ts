/**
 * A set of tests for statistics, loaded by COPY: invented plants over twelve years, each region with a spread of
 * efficiency of its own, so that percentiles are held against twenty shapes.
 */

import { randomBytes } from 'node:crypto'
import { writeFileSync } from 'node:fs'
import { rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pg from 'pg'

export const REGIONS = 20
const FIRMS = 50
const YEARS = 12
const CHUNK = 50_000

/** Numbers from 0 to 1, the same for a seed (mulberry32, in the public domain). */
export function chanceFrom(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32
  }
}

const normal = (chance: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance())

/** Efficiency of a plant of a region when new: narrow and wide, lopsided, of two kinds, with a long tail. */
function spread(region: number, chance: () => number): number {
  const [middle, width] = [0.45 + 0.012 * region, 0.02 + 0.006 * region]
  switch (region % 4) {
    case 0:
      return middle + width * normal(chance)
    case 1:
      return middle * Math.exp(-2 * width * Math.abs(normal(chance)))
    case 2:
      return (chance() < 0.3 ? middle - 0.18 : middle) + 0.5 * width * normal(chance)
    default:
      return middle - width * Math.log(1 - chance())
  }
}

const pick = <T>(values: readonly T[], chance: () => number): T => values[Math.floor(chance() * values.length)]!
const id = (letter: string, n: number): string => `${letter}0000000-0000-7000-8000-${n.toString(16).padStart(12, '0')}`
const clip = (value: number): number => Math.min(0.92, Math.max(0.02, value))

const DRIVERS = ['electric-motor', 'electric-motor', 'electric-motor', 'engine']
const CLASSES = ['below-25-hp', '25-to-49-hp', '50-to-74-hp', '75-to-124-hp', '125-to-249-hp', '250-hp-and-more']
const FLOWS = ['pitot-traverse', 'meter-rate', 'meter-totaliser', 'ultrasonic-velocity']
const POWERS = ['meter-revolutions', 'meter-pulses', 'meter-display', 'volts-amps']

interface Plant {
  readonly n: number
  readonly groups: readonly [driver: string, kind: string, region: number, powerClass: string]
  readonly firm: number
  efficiency: number
}

/** Lines of COPY for the narrow rows, and for a plain table of the tests that count. */
function* lines(tests: number): Generator<{ readonly fact: string; readonly plain: string | undefined }> {
  const chance = chanceFrom(20_260_512)
  let made = 0
  for (let n = 0; made < tests; n++) {
    const region = n % REGIONS
    const plant: Plant = {
      n,
      groups: [pick(DRIVERS, chance), chance() < 0.8 ? 'well' : 'booster', region, pick(CLASSES, chance)],
      firm: Math.floor(chance() * FIRMS),
      efficiency: spread(region, chance),
    }
    for (let year = 0; year < YEARS && made < tests; year++) {
      if (chance() < 0.4) continue
      yield test(plant, made, 2015 + year, chance)
      made += 1
      plant.efficiency = chance() < 0.12 ? spread(region, chance) : plant.efficiency - 0.008 * chance()
    }
  }
}

function test(
  plant: Plant,
  n: number,
  year: number,
  chance: () => number,
): { fact: string; plain: string | undefined } {
  const [driver, kind, region, powerClass] = plant.groups
  const [flow, power] = [pick(FLOWS, chance), pick(POWERS, chance)]
  const verdict = chance()
  const soundness = verdict < 0.92 ? 'sound' : verdict < 0.97 ? 'in-question' : 'unsound'
  const efficiency = clip(plant.efficiency + 0.01 * normal(chance))
  const flowM3S = 0.02 + 0.1 * chance()
  const head = 20 + 80 * chance()
  const input = (9_790 * flowM3S * head) / efficiency
  const energy = chance() < 0.7 ? input * 3_600 * (400 + 2_600 * chance()) : undefined
  const perVolume = input / flowM3S
  const day = `${year}-0${1 + Math.floor(chance() * 9)}-1${Math.floor(chance() * 10)}`
  const source = energy === undefined ? 'none' : 'bills'
  const groups = [driver, kind, `R-${region}`, powerClass, flow, 'electric-sounder', power, source, 'USD'].join('|')
  const none = '\\N'
  const fact = [
    ...[
      'test',
      n + 1,
      id('a', n),
      id('f', plant.firm),
      id('d', plant.n),
      soundness,
      id('c', plant.firm),
      day,
      '2026-1',
      groups,
    ],
    ...[
      flowM3S,
      head,
      head * 0.7,
      input,
      efficiency,
      efficiency * 0.03,
      0.002 + 0.01 * chance(),
      perVolume,
      10 + 60 * chance(),
    ],
    ...[energy ?? none, energy === undefined ? none : energy / perVolume, none],
  ].join('\t')
  const plain = [
    driver,
    kind,
    `R-${region}`,
    year,
    powerClass,
    flow,
    power,
    id('f', plant.firm),
    id('d', plant.n),
    efficiency,
    energy ?? none,
  ].join('\t')
  return { fact, plain: soundness === 'sound' ? plain : undefined }
}

const FACT = `ll.test_fact (happened, ledger_size, test_id, firm_id, plant_id, soundness, tester_id, tested_on, edition, groups,
  flow_m3_s, head_m, lift_m, input_power_w, efficiency, efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3,
  standing_level_m, annual_energy_j, annual_volume_m3, cost_per_volume)`

/** As a superuser of a server on this machine, in a migrated database. */
export async function loadTests(url: string, tests: number): Promise<void> {
  const client = new pg.Client(url)
  await client.connect()
  const file = join(tmpdir(), `liftledger-set-${randomBytes(4).toString('hex')}`)
  const copy = async (table: string, rows: readonly string[]): Promise<void> => {
    writeFileSync(file, `${rows.join('\n')}\n`, { mode: 0o644 })
    await client.query(`copy ${table} from '${file}'`)
  }
  try {
    await client.query(`create table public.counted_test (driver text, kind text, region text, year integer,
      power_class text, flow_method text, power_method text, firm_id uuid, plant_id uuid, efficiency float8, energy float8)`)
    let facts: string[] = []
    let plains: string[] = []
    const flush = async (): Promise<void> => {
      await copy(FACT, facts)
      await copy('public.counted_test', plains)
      facts = []
      plains = []
    }
    for (const { fact, plain } of lines(tests)) {
      facts.push(fact)
      if (plain !== undefined) plains.push(plain)
      if (facts.length === CHUNK) await flush()
    }
    if (facts.length > 0) await flush()
    await client.query('analyze ll.test_fact')
    await client.query('vacuum analyze public.counted_test')
  } finally {
    await rm(file, { force: true })
    await client.end()
  }
}
