/** Whatever happened, in whatever steps it was folded, and wherever a step was cut: the cells are those of a rebuild. */
import { setTimeout as sleep } from 'node:timers/promises'
import fc from 'fast-check'
import pg from 'pg'
import { pino } from 'pino'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { openPool } from '../db/pool.ts'
import { type Between, foldStep, rebuild } from './fold.ts'

const HISTORIES = 500
const id = (group: number, n: number): string => `0000000${group}-0000-4000-8000-${String(n).padStart(12, '0')}`
const [FIRM, PLANT, PROGRAM, TEST, TESTER] = [1, 2, 3, 4, 5] as const

type Deed =
  | { readonly what: 'test'; readonly plant: number; readonly figures: Figures }
  | { readonly what: 'revision'; readonly of: number; readonly figures: Figures }
  | { readonly what: 'withdrawn'; readonly of: number }
  | { readonly what: 'decided'; readonly of: number; readonly program: number; readonly soundness: string }
  | { readonly what: 'given' | 'taken-back'; readonly of: number; readonly program: number }
  | { readonly what: 'compared'; readonly of: number; readonly soundness: string }
  | { readonly what: 'fold'; readonly rows: number; readonly crash: number | undefined }

interface Figures {
  readonly day: string
  readonly region: string
  readonly driver: string
  readonly soundness: string
  readonly efficiency: number | null
  readonly energy: number | null
  readonly flow: number | null
}

const figures: fc.Arbitrary<Figures> = fc.record({
  day: fc.constantFrom('2023-05-01', '2024-05-01', '2024-09-09', '2025-06-30'),
  region: fc.constantFrom('NORTH', 'SOUTH'),
  driver: fc.constantFrom('electric-motor', 'engine'),
  soundness: fc.constantFrom('sound', 'sound', 'sound', 'in-question', 'unsound'),
  efficiency: fc.option(fc.double({ min: 0.01, max: 1.2, noNaN: true }), { nil: null, freq: 6 }),
  energy: fc.option(fc.double({ min: 1e6, max: 1e13, noNaN: true }), { nil: null, freq: 3 }),
  flow: fc.option(fc.constantFrom(0, 1e-7, 0.01, 0.2, 66, 1e4, -1), { nil: null, freq: 4 }),
})
const of = fc.nat({ max: 40 })
const program = fc.integer({ min: 1, max: 2 })
const deed: fc.Arbitrary<Deed> = fc.oneof(
  {
    weight: 5,
    arbitrary: fc.record({ what: fc.constant('test' as const), plant: fc.integer({ min: 1, max: 4 }), figures }),
  },
  { weight: 1, arbitrary: fc.record({ what: fc.constant('revision' as const), of, figures }) },
  { weight: 1, arbitrary: fc.record({ what: fc.constant('withdrawn' as const), of }) },
  {
    weight: 1,
    arbitrary: fc.record({
      what: fc.constant('decided' as const),
      of,
      program,
      soundness: fc.constantFrom('sound', 'unsound', 'in-question'),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      what: fc.constant('compared' as const),
      of,
      soundness: fc.constantFrom('in-question', 'unsound'),
    }),
  },
  { weight: 3, arbitrary: fc.record({ what: fc.constantFrom('given' as const, 'taken-back' as const), of, program }) },
  {
    weight: 2,
    arbitrary: fc.record({
      what: fc.constant('fold' as const),
      rows: fc.constantFrom(1, 2, 3, 1000),
      crash: fc.option(fc.nat({ max: 5 }), { nil: undefined }),
    }),
  },
)

let database: ClonedDatabase
let pool: pg.Pool
let admin: pg.Client

beforeAll(async () => {
  database = await cloneDatabase()
  pool = openPool(database.url, 'll_statistics', 2, pino({ level: 'silent' }))
  admin = new pg.Client(database.url)
  await admin.connect()
})
afterAll(async () => {
  await pool.end()
  await admin.end()
  await database.drop()
})

const clear = (): Promise<unknown> =>
  admin.query(`
    alter table ll.test_fact disable trigger all;
    truncate ll.test_fact restart identity;
    alter table ll.test_fact enable always trigger append_only;
    delete from ll.statistics_cell;
    update ll.statistics_fold set place = 0, ledger_size = 0, layout = 0`)

class Crash extends Error {}

const step = (rowsMax: number, between: Between): Promise<'busy' | 'done'> =>
  foldStep(pool, { rowsMax, between }).then(
    (done) => (done === undefined ? 'busy' : 'done'),
    (error: unknown) => {
      if (!(error instanceof Crash)) throw error
      return 'done'
    },
  )

/** A fold whose connection is lost after so many of its statements. */
async function fold(rowsMax: number, crash: number | undefined): Promise<void> {
  let left = crash ?? Number.POSITIVE_INFINITY
  const between = (): void => {
    if (left-- <= 0) throw new Crash()
  }
  // A connection that was lost may hold the lock for a moment.
  while ((await step(rowsMax, between)) === 'busy') await sleep(2)
}

interface Stored {
  readonly test: string
  readonly plant: string
  open: boolean
}

const add = (columns: Readonly<Record<string, unknown>>): Promise<unknown> => {
  const names = Object.keys(columns)
  return admin.query(
    `insert into ll.test_fact (${names.join(', ')}, ledger_size) values (${names.map((_, n) => `$${n + 1}`).join(', ')}, 1)`,
    Object.values(columns),
  )
}

async function live(history: readonly Deed[]): Promise<void> {
  const stored: Stored[] = []
  const write = async (plant: string, { day, region, driver, soundness, efficiency, energy, flow }: Figures) => {
    const one = { test: id(TEST, stored.length + 1), plant, open: true }
    const values = { happened: 'test', test_id: one.test, firm_id: id(FIRM, 1 + (stored.length % 2)), plant_id: plant }
    await add({
      ...values,
      tester_id: id(TESTER, 1),
      tested_on: day,
      edition: '2026-1',
      soundness,
      groups: `${driver}|well|${region}|75-to-124-hp|pitot-traverse|electric-sounder|meter-display|${energy === null ? 'none' : 'bills'}|USD`,
      efficiency,
      efficiency_u: efficiency === null ? null : efficiency * 0.04,
      annual_energy_j: energy,
      annual_volume_m3: energy === null ? null : energy / 1e6,
      flow_m3_s: flow,
    })
    stored.push(one)
  }
  for (const deed of history) {
    if (deed.what === 'fold') {
      await fold(deed.rows, deed.crash)
      continue
    }
    if (deed.what === 'test') {
      await write(id(PLANT, deed.plant), deed.figures)
      continue
    }
    const about = stored[deed.of % Math.max(1, stored.length)]
    if (about === undefined) continue
    const named = { test_id: about.test, plant_id: about.plant, firm_id: id(FIRM, 1) }
    if (deed.what === 'revision' || deed.what === 'withdrawn') {
      if (!about.open) continue
      about.open = false
      if (deed.what === 'revision') await write(about.plant, deed.figures)
      await add({ happened: deed.what === 'revision' ? 'superseded' : 'withdrawn', ...named })
    } else if (deed.what === 'compared') {
      await add({ happened: 'compared', ...named, soundness: deed.soundness })
    } else {
      const soundness = deed.what === 'decided' ? { soundness: deed.soundness } : {}
      await add({ happened: deed.what, ...named, program_id: id(PROGRAM, deed.program), ...soundness })
    }
  }
}

const cells = async (): Promise<string> => {
  const { rows } = await admin.query<{ all: string | null }>(
    `select string_agg(scope || ' ' || cuboid || ' ' || key::text || ' ' || encode(body, 'hex'), E'\\n'
                       order by scope, cuboid, key) as all from ll.statistics_cell`,
  )
  return rows[0]!.all ?? ''
}

test('cells are those of a rebuild', { timeout: 600_000 }, async () => {
  let folded = 0
  await fc.assert(
    fc.asyncProperty(fc.array(deed, { minLength: 1, maxLength: 40 }), async (history) => {
      await clear()
      await live(history)
      await fold(1000, undefined)
      const grown = await cells()
      await rebuild(pool)
      expect(grown).toBe(await cells())
      if (grown !== '') folded += 1
    }),
    { numRuns: HISTORIES },
  )
  // Histories in which nothing counts would prove nothing.
  expect(folded).toBeGreaterThan(HISTORIES / 2)
})
