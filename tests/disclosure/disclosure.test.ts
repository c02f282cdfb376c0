/** Public statistics through the routes, on an invented basin, and an attack on them that a rule taken out would let through. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import { publishMonth } from '../../packages/service/src/statistics/published/publish.ts'
import { isDue, publishBeside } from '../../packages/service/src/statistics/published/run.ts'
import { startTestService, type TestService } from '../setup/service.ts'
import { type Cell, isIn } from './attack.ts'
import { attackAll, whatIsTold } from './measure.ts'
import { FAMILIES, monthOf, publishedBasin, type World } from './world.ts'

/** Small enough for every run; the first month ends in the first weeks of the second year, of which some cells hold too few. */
const BASIN = { seed: 7, plants: 130, years: 2, firms: 3, testersPerFirm: 1 }
const RECEIVED = [0.57, 1]
const MONTHS = RECEIVED.map((_, n) => monthOf(n))
/** Of the p percent rule, as the operator sets it, and what a linear program may be off by. */
const P = 0.15
const TOLERANCE = 1e-5
const isNear = ({ distance }: { readonly distance: number }): boolean => distance < P - TOLERANCE

let service: TestService
let world: World
beforeAll(async () => {
  service = await startTestService()
  const url = await service.listen()
  world = await publishedBasin({ deps: service.deps, url, adminKey: service.keys.admin }, BASIN, RECEIVED)
}, 300_000)
afterAll(() => service.close())

interface Answered {
  readonly items: readonly {
    readonly waiting?: number
    readonly of: Cell['of']
    readonly figures: Record<string, { value: number | null }>
  }[]
}
const address = (month: string, what = 'cells') => `GET /v1/statistics/publications/${month}/${what}` as const

const FIRMS = { customers: false, firmsWithCustomers: false, threePlants: false }

describe('an attacker with all sums', () => {
  test('comes to no withheld cell nearer than p percent, whatever a firm or customer or three plants tell', () => {
    let bounds = 0
    for (const found of attackAll(world, { ...FIRMS, of: 'cells', customers: true, threePlants: true })) {
      expect(found.bounds.filter(isNear), found.family).toEqual([])
      bounds += found.bounds.length
    }
    // The basin is one in which there is something to find.
    expect(bounds).toBeGreaterThan(1_000)
  }, 120_000)

  test('comes to no customer behind the cells that are told', () => {
    for (const found of attackAll(world, { ...FIRMS, of: 'customers' })) {
      expect(found.bounds.length).toBeGreaterThan(0)
      expect(found.bounds.filter(isNear), found.family).toEqual([])
    }
  }, 120_000)

  test('finds a cell once tests don’t wait for others of their kind', () => {
    const found = [...attackAll(world, { ...FIRMS, of: 'cells', undone: 'waiting' })].flatMap(({ bounds }) => bounds)
    expect(found[0]).toBeDefined()
    expect(Math.min(...found.map(({ distance }) => distance))).toBeLessThan(0.01)
  }, 120_000)
})

describe('what was published', () => {
  test.each(['statistics_publication', 'published_test', 'published_cell', 'published_peers'])(
    'is never changed nor removed: %s',
    async (table) => {
      await onConnection(service.databaseUrl, undefined, async (client) => {
        const { rows } = await client.query<{ n: number }>(`select count(*)::int as n from ll.${table}`)
        expect(rows[0]!.n).toBeGreaterThan(0)
        for (const deed of [
          `update ll.${table} set month = month`,
          `delete from ll.${table}`,
          `truncate ll.${table} cascade`,
        ])
          await expect(client.query(deed), deed).rejects.toThrow(/append-only/)
      })
    },
  )
})

describe('a publication', () => {
  test('withholds what holds too few: none of its tests is in a sum', () => {
    for (const family of FAMILIES) {
      for (const { tests: ids, counting, cells } of world.months[family]) {
        const own = world.tests.filter(({ id }) => ids.has(id))
        for (const cell of cells) {
          const held = own.filter((one) => isIn(one, cell))
          if (cell.withheld === 'too few') {
            expect(held, JSON.stringify(cell.of)).toEqual([])
            expect(world.tests.some((one) => counting.has(one.id) && isIn(one, cell))).toBe(true)
          } else if (held.length > 0) {
            expect(new Set(held.map(({ plant }) => plant)).size).toBeGreaterThanOrEqual(5)
          }
        }
      }
    }
    const told = whatIsTold(world)
    expect(told.some(({ byMark }) => (byMark['too few'] ?? 0) > 0)).toBe(true)
    expect(told.map(({ enough, toldOfEnough }) => enough - toldOfEnough).every((hidden) => hidden === 0)).toBe(true)
    // Some of what waited has come in the next month.
    const [first, second] = told.filter(({ family }) => family === FAMILIES[0])
    expect(second!.toldOfEnough).toBeGreaterThan(first!.toldOfEnough)
  })

  test('counts of a cell that is told are those of its tests', async () => {
    const { body } = await service.call<Answered>('nobody', address(MONTHS[1]!))
    const { tests: ids } = world.months[FAMILIES[0]][1]!
    for (const { of, figures } of body.items.filter(({ figures }) => figures.tests!.value !== null)) {
      const held = world.tests.filter((one) => ids.has(one.id) && isIn(one, { of, withheld: undefined }))
      expect(figures.tests!.value, JSON.stringify(of)).toBe(Math.round(held.length / 5) * 5)
    }
    const { counting } = world.months[FAMILIES[0]][1]!
    const wait = [...counting].filter((id) => !ids.has(id)).length
    const whole = body.items.filter(({ of: { driver: _, ...values } }) =>
      Object.values(values).every((value) => value === 'all'),
    )
    expect(whole.map(({ waiting }) => waiting)).toEqual([Math.round(wait / 5) * 5])
  })

  test('never tells a count where it withholds, rounds the others, and has the mark in a column of its own', async () => {
    const { body } = await service.call<Answered>('nobody', address(MONTHS[1]!))
    const csv = await service.call<string>('nobody', address(MONTHS[1]!), { headers: { accept: 'text/csv' } })
    const [head, ...rows] = csv.body.trim().split('\r\n')
    const [mark, tests] = ['withheld', 'tests'].map((name) => head!.split(',').indexOf(name))
    expect(rows).toHaveLength(body.items.length)
    body.items.forEach(({ figures }, n) => {
      const { value, withheld } = figures.tests as { value: number | null; withheld?: string }
      const row = rows[n]!.split(',')
      if (withheld !== undefined) {
        expect(Object.values(figures).every((figure) => figure.value === null)).toBe(true)
        expect([row[mark!], row[tests!]]).toEqual([withheld, ''])
      } else {
        expect(value! % 5).toBe(0)
        expect(row[tests!]).toBe(String(value))
      }
    })
  })

  test('is made once, says by which rules but not p, and answers the same for ever', async () => {
    const before = await service.call('nobody', address(MONTHS[0]!))
    const at = service.deps.now()
    expect(await publishMonth(service.deps.databases.statistics, { month: MONTHS[0]!, end: at, at })).toBeUndefined()
    expect(await publishMonth(service.deps.databases.statistics, { month: MONTHS[1]!, end: at, at })).toBeUndefined()
    expect((await service.call('nobody', address(MONTHS[0]!))).body).toEqual(before.body)
    const { body } = await service.call<{ items: { month: string; cells: object; rules: object }[] }>(
      'nobody',
      'GET /v1/statistics/publications',
    )
    expect(body.items.map(({ month }) => month)).toEqual(MONTHS.toReversed())
    expect(body.items[0]!.rules).toMatchObject({ plantsMin: 5, customersMin: 3, dominancePercent: 85 })
    expect(JSON.stringify(body)).not.toMatch(/0\.15|"p"/)
    expect((await service.call('nobody', address('2026-04'))).status).toBe(404)
  })

  test('takes over the cells of a month in which nothing came', async () => {
    const at = service.deps.now()
    const made = await publishMonth(service.deps.databases.statistics, { month: '2026-07', end: at, at })
    expect(made).toMatchObject({ month: '2026-07' })
    const [last, next] = await Promise.all(
      [MONTHS[1], '2026-07'].map((month) => service.call<Answered>('nobody', address(month!))),
    )
    // What was held back may still wait; whatever is told is what was told.
    if (made!.changes === made!.heldBack) expect(next!.body.items).toEqual(last!.body.items)
  })

  test('changes no cell by the tests of fewer than three customers, or of fewer beside those of one firm', () => {
    const [first, second] = MONTHS.map((month) => world.months[FAMILIES[0]].find((one) => one.month === month)!)
    const moved = world.tests.filter(({ id }) => first!.tests.has(id) !== second!.tests.has(id))
    expect(moved.length).toBeGreaterThan(0)
    for (const cell of second!.cells) {
      const own = moved.filter((one) => isIn(one, cell))
      for (const firm of [undefined, ...new Set(own.map((one) => one.firm))]) {
        const customers = new Set(own.filter((one) => one.firm !== firm).map(({ customer }) => customer))
        expect([1, 2], JSON.stringify(cell.of)).not.toContain(customers.size)
      }
    }
  })
})

describe('a firm beside its peers', () => {
  interface Peers {
    readonly items: readonly {
      readonly figuresOf: string
      readonly of: Cell['of']
      readonly own: Record<string, { value: number | null }>
      readonly peers: Record<string, { value: number | null; withheld?: string }>
    }[]
  }
  const read = async (key: string): Promise<Peers> => {
    const { payload } = await service.app.inject({
      url: `/v1/statistics/publications/${MONTHS[1]}/peers`,
      headers: { authorization: `Bearer ${key}` },
    })
    return JSON.parse(payload) as Peers
  }

  test('is told of the others where all are told, and never of fewer than the minimum', async () => {
    const family = FAMILIES[0]
    const { tests: ids, counting, cells } = world.months[family][1]!
    const all = world.tests.filter(({ id }) => counting.has(id))
    const withheld = new Map(cells.map(({ of, withheld: mark }) => [JSON.stringify(of), mark]))
    let compared = 0
    for (const key of world.keys) {
      const { items } = await read(key)
      for (const { of, own, peers } of items.filter(({ figuresOf }) => figuresOf === family)) {
        expect(own.mean!.value).not.toBeNull()
        const mark = withheld.get(JSON.stringify(of))
        if (mark !== undefined) expect(peers.mean).toEqual({ value: null, withheld: mark })
        if (peers.mean!.value === null) continue
        const held = all.filter((one) => isIn(one, { of, withheld: undefined }))
        // Counts are rounded to five, the firm's and those of the others each by itself; others may wait.
        const most = held.length
        const least = held.filter(({ id }) => ids.has(id)).length
        expect(own.tests!.value! + peers.tests!.value!).toBeLessThanOrEqual(most + 5)
        expect(own.tests!.value! + peers.tests!.value!).toBeGreaterThanOrEqual(least - 5)
        expect(peers.plants!.value).toBeGreaterThanOrEqual(5)
        compared += 1
      }
    }
    expect(compared).toBeGreaterThan(10)
  })

  test('is told by its own key only', async () => {
    expect((await service.call('nobody', address(MONTHS[1]!, 'peers'))).status).toBe(401)
    expect((await service.call('program', address(MONTHS[1]!, 'peers'))).status).toBe(403)
    expect((await service.call('firmA', address(MONTHS[1]!, 'peers'))).status).toBe(404)
  })
})

describe('a thread of its own', () => {
  test('publishes the month that ended, once, and ends', async () => {
    const at = service.deps.now()
    const asked = { month: '2026-09', end: new Date(at.getTime() + 1), at }
    const task = { url: service.databaseUrl, production: false, asked }
    const { statistics } = service.deps.databases
    expect(await isDue(statistics, { ...asked, end: new Date(0) })).toBe(false)
    expect(await isDue(statistics, asked)).toBe(true)
    const made = await publishBeside(task, new AbortController().signal)
    expect(made).toMatchObject({ month: '2026-09', withheld: expect.any(Number) })
    expect(await isDue(statistics, asked)).toBe(false)
    expect(await publishBeside(task, new AbortController().signal)).toBeUndefined()
  }, 120_000)
})
