/** Work lists through the routes: who sees what, and that figures are those of the tests behind them. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { asKey, draftRules, officeKey, rulesOf } from '../../../../tests/setup/rule-sets.ts'
import type { Caller, TestService } from '../../../../tests/setup/service.ts'
import { visitContext } from '../../../../tests/setup/visit.ts'
import { startWorld, type World } from '../../../../tests/setup/wells.ts'
import { dayNumber, dayOf } from './days.ts'
import type { Lapses, PlantsDue, PlantsFalling } from './schemas.ts'

let world: World
let service: TestService
let plantIds: World['plantIds']
let tests: World['tests']
const today = (): string => world.today()

type Changes = Readonly<Record<string, unknown>>

/** Revolutions of the meter in fewer seconds: more power for the same water. */
const seconds = (elapsed: number): Changes =>
  Object.fromEntries(
    [-0.1, 0, 0.1].map((more, n) => [`/runs/0/power/timings/${n}/elapsed/value`, Number((elapsed + more).toFixed(1))]),
  )
const HELD = { '/runs/0/dischargePressure/reading/value': -3 }

const due = (caller: Caller, query = '?intervalDays=365') =>
  world.read<PlantsDue>(caller, `/v1/work-lists/plants-due${query}`)
const falling = (caller: Caller, query = '') =>
  world.read<PlantsFalling>(caller, `/v1/work-lists/plants-falling${query}`)
const lapses = (caller: Caller, query = '') => world.read<Lapses>(caller, `/v1/work-lists/lapses${query}`)

beforeAll(async () => {
  world = await startWorld()
  ;({ service, plantIds, tests } = world)
  for (const code of ['STEADY', 'HELD', 'NEW', 'CHANGED']) await world.plant(code, 'C-9', 'Thornlow')
  const years = ['2024-05-12', '2025-05-12', '2026-05-12']
  for (const [n, day] of years.entries()) {
    await world.visit('AM-01', day, seconds(33.4 - 2 * n))
    await world.visit('STEADY', day)
    await world.visit('CHANGED', day, seconds(33.4 - 2 * n))
  }
  const equipment = { ...visitContext.plant.equipment!, effectiveFrom: '2025-01-01', stages: 7 }
  const { revision: _, ...facts } = equipment
  await service.call('firmA', `POST /v1/plants/${plantIds.CHANGED}/equipment`, { body: facts })
  await world.visit('HELD', '2026-05-12', HELD)
})
afterAll(() => service.close())

describe('plants due', () => {
  test('are those whose last sound test is long enough ago, and those without one, said apart', async () => {
    const { items, plantsByReason, of } = await due('firmA', '?intervalDays=1')
    expect(of).toBe('own-tests')
    expect(items.map(({ plantCode, because }) => [plantCode, because])).toEqual([
      ['AM-01', 'interval-passed'],
      ['STEADY', 'interval-passed'],
      ['CHANGED', 'interval-passed'],
      ['HELD', 'no-sound-test'],
      ['NEW', 'never-tested'],
    ])
    const [first, , , held, never] = items
    const daysOver = dayNumber(today()) - dayNumber('2026-05-12') - 1
    expect(first).toMatchObject({ lastSoundOn: '2026-05-12', lastSoundTestId: tests['AM-01 2026-05-12'], daysOver })
    expect(first).toMatchObject({ dueOn: '2026-05-13', links: { history: `/v1/plants/${plantIds['AM-01']}/history` } })
    expect(held).toMatchObject({ lastSoundness: 'in-question', lastTestId: tests['HELD 2026-05-12'] })
    expect(held).not.toHaveProperty('dueOn')
    expect(never).not.toHaveProperty('lastTestId')
    expect(plantsByReason).toEqual({
      intervalPassed: 3,
      intervalWillPass: 0,
      noSoundTest: 1,
      neverTested: 1,
      notDue: 0,
      withoutInterval: 0,
    })
  })

  test('are not those whose interval ends tomorrow, unless days ahead are asked for', async () => {
    const interval = dayNumber(today()) - dayNumber('2026-05-12') + 1
    const without = await due('firmA', `?intervalDays=${interval}`)
    expect(without.plantsByReason).toMatchObject({ intervalPassed: 0, intervalWillPass: 0, notDue: 3 })
    const ahead = await due('firmA', `?intervalDays=${interval}&withinDays=1`)
    expect(ahead.plantsByReason).toMatchObject({ intervalWillPass: 3, notDue: 0 })
    expect(ahead.items[0]).toMatchObject({ because: 'interval-will-pass', daysOver: -1 })
    const onTheDay = await due('firmA', `?intervalDays=${interval - 1}`)
    expect(onTheDay.items[0]).toMatchObject({ because: 'interval-passed', daysOver: 0 })
  })

  test('come page by page, each once', async () => {
    const seen: string[] = []
    for (let query: string | undefined = '?intervalDays=1&limit=2'; query !== undefined; ) {
      const { items, next }: PlantsDue = await due('firmA', query)
      seen.push(...items.map(({ plantCode }) => plantCode))
      query = next && `?intervalDays=1&limit=2&cursor=${next}`
    }
    expect(seen).toEqual(['AM-01', 'STEADY', 'CHANGED', 'HELD', 'NEW'])
    const { next } = await due('firmA', '?intervalDays=1&limit=2')
    const other = await service.call('firmA', `GET /v1/work-lists/plants-due?intervalDays=2&limit=2&cursor=${next}`)
    expect(other).toMatchObject({ status: 400, body: { code: 'invalid-cursor' } })
  })

  test('are of one region where it is asked for', async () => {
    const { items } = await due('firmA', '?intervalDays=1&region=Upper-Ambermoor')
    expect(items.map(({ plantCode }) => plantCode)).toEqual(['AM-01'])
  })

  test('take the days from somewhere: what is missing or double is told', async () => {
    for (const [caller, query, pointer] of [
      ['firmA', '', '/intervalDays'],
      ['auditor', '', '/intervalDays'],
      ['program', '', '/intervalDays'],
      ['firmA', `?programId=${service.program}`, '/programId'],
      ['firmA', `?programId=${service.program}&intervalDays=3`, '/programId'],
    ] as const) {
      const { status, body } = await service.call<{ errors: { pointer: string }[] }>(
        caller,
        `GET /v1/work-lists/plants-due${query}`,
      )
      expect([status, body.errors[0]!.pointer], `${caller} ${query}`).toEqual([400, pointer])
    }
  })

  test('are those of the rules in force for a program, of the tests it was given, by its own decisions', async () => {
    const id = await world.visit('STEADY', '2026-05-14', HELD)
    await world.give(id)
    const days = dayNumber(today()) - dayNumber('2026-05-14')
    await publish([
      { id: 'wells', fact: 'daysSinceLastPaidTest', atLeast: days, when: { 'plant.kind': 'well' } },
      { id: 'boosters', fact: 'daysSinceLastPaidTest', atLeast: 2000, when: { 'plant.kind': 'booster' } },
    ])
    const before = await due('program', '')
    expect(before).toMatchObject({
      of: 'tests-given-to-the-program',
      interval: { programId: service.program, version: 1 },
    })
    expect(before.interval.rules).toEqual([
      { rule: 'wells', days },
      { rule: 'boosters', days: 2000 },
    ])
    expect(before.items).toMatchObject([{ plantCode: 'STEADY', because: 'no-sound-test', intervalDays: days }])
    await decide(id)
    expect((await due('program', '')).items).toMatchObject([
      { plantCode: 'STEADY', because: 'interval-passed', daysOver: 0, lastSoundTestId: id },
    ])
    // What one program decided is its own; anybody may ask by its rules.
    const ofFirm = await due('firmA', `?programId=${service.program}`)
    expect(ofFirm.items.find(({ plantCode }) => plantCode === 'STEADY')).toMatchObject({ lastSoundOn: '2026-05-12' })
    const body = { withdrawnAt: '2026-05-15T10:00:00-07:00' }
    await service.call('firmA', `POST /v1/tests/${id}/programs/${service.program}/withdrawal`, { body })
    expect((await due('program', '')).items).toEqual([])
    await service.call('firmA', `POST /v1/tests/${id}/withdrawal`, { body: { reason: 'sent-twice' } })
  })
})

/** Rules of the program with these on the days between tests, in force around today. */
async function publish(interval: readonly object[]): Promise<void> {
  const rules = rulesOf('ambermoor-2') as { eligibility: { id: string }[]; payments: unknown }
  const eligibility = [...rules.eligibility.filter(({ id }) => id !== 'interval'), ...interval]
  const day = dayNumber(today())
  // In the time zone that the days of this test are counted in.
  const draft = {
    ...rules,
    version: 1,
    eligibility,
    timeZone: 'Etc/UTC',
    inForceFrom: dayOf(day - 200),
    inForceTo: dayOf(day + 200),
  }
  const [author, publisher] = [
    await officeKey(service, service.program, 'P-14'),
    await officeKey(service, service.program, 'P-22'),
  ]
  const { ruleSetId } = await draftRules(service, author, draft)
  const { headers } = await asKey(service, publisher, `GET /v1/rule-sets/${ruleSetId}`)
  const answer = await asKey(service, publisher, `POST /v1/rule-sets/${ruleSetId}/publication`, undefined, {
    'if-match': String(headers.etag),
  })
  if (answer.status !== 201) throw new Error(JSON.stringify(answer.body))
}

/** The program finds that nothing stands of what holds a test up. */
async function decide(id: string): Promise<void> {
  interface Held {
    readonly id: string
    readonly severity: string
    readonly run?: number
    readonly place: string
  }
  const { body } = await service.call<{ items: Held[] }>('firmA', `GET /v1/tests/${id}/findings`)
  const findings = body.items ?? (body as unknown as { findings: Held[] }).findings
  for (const { id: finding, run, place } of findings.filter(({ severity }) => severity === 'hold')) {
    const words = { outcome: 'does-not-stand', reader: 'R-1', reason: 'Read again, and it shows the same as before.' }
    await world.made('program', `POST /v1/tests/${id}/decisions`, {
      finding,
      place,
      ...(run !== undefined && { run }),
      ...words,
    })
  }
}

describe('plants falling', () => {
  test('are those whose slope lies below nothing with its interval, through the tests that are named', async () => {
    const { items, plantsLookedAt } = await falling('firmA')
    expect(items.map(({ plantCode }) => plantCode)).toEqual(['AM-01'])
    expect(plantsLookedAt).toEqual({ withSoundTests: 3, tooFewTests: 1, fitted: 2, falling: 1, byChanceAtMost: 0.05 })
    const [item] = items
    expect(item).toMatchObject({ tests: 3, firstOn: '2024-05-12', lastOn: '2026-05-12', velocityHead: 'include' })
    expect(item!.testIds).toEqual(['2024-05-12', '2025-05-12', '2026-05-12'].map((day) => tests[`AM-01 ${day}`]))
    expect(item!.slopeHigh).toBeLessThan(0)
    // Two points a year, by hand from the three efficiencies: weights are equal to a few parts in a hundred.
    const efficiencies = await Promise.all(
      item!.testIds.map(async (id) => {
        const { body } = await service.call<{ results: { quantity: string; value: number }[] }>(
          'firmA',
          `GET /v1/tests/${id}/results`,
        )
        return body.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!.value
      }),
    )
    const byHand = (efficiencies[2]! - efficiencies[0]!) / ((2 * 365) / 365.2425)
    expect(item!.slopePerYear / byHand).toBeCloseTo(1, 2)
    expect(item!.lastEfficiency).toBe(efficiencies[2])
  })

  test('are not compared over a change of equipment, and are again where only its meter changed', async () => {
    const { items } = await falling('auditor')
    expect(items.map(({ plantCode }) => plantCode)).toEqual(['AM-01'])
    const { revision: _, ...facts } = visitContext.plant.equipment!
    const body = {
      ...facts,
      effectiveFrom: '2025-01-01',
      meterSerial: 'M-7',
      highestFlow: { value: 1300, unit: 'gpm' },
    }
    await service.call('firmA', `POST /v1/plants/${plantIds.CHANGED}/equipment`, { body })
    const again = await falling('auditor')
    expect(again.items.map(({ plantCode }) => plantCode).toSorted()).toEqual(['AM-01', 'CHANGED'])
    expect(again.items[0]).not.toHaveProperty('equipmentSince')
  })

  test('are a program’s where it was given the tests, and nobody else’s', async () => {
    expect((await falling('program')).items).toEqual([])
    for (const day of ['2024-05-12', '2025-05-12']) await world.give(tests[`AM-01 ${day}`]!)
    expect((await falling('program')).plantsLookedAt).toMatchObject({ fitted: 0 })
    await world.give(tests['AM-01 2026-05-12']!)
    expect((await falling('program')).items).toEqual((await falling('firmA', '?region=Upper-Ambermoor')).items)
    expect((await falling('firmB')).items).toEqual([])
    expect((await service.call('keeper', 'GET /v1/work-lists/plants-falling')).status).toBe(403)
    expect((await service.call('admin', 'GET /v1/work-lists/plants-falling')).status).toBe(403)
  })

  test('come as a table too', async () => {
    const { body, headers } = await service.call<string>('firmA', 'GET /v1/work-lists/plants-falling', {
      headers: { accept: 'text/csv' },
    })
    expect(headers['content-type']).toContain('text/csv')
    const [head, row] = body.split('\r\n')
    expect(head).toContain('slopePerYear,slopeLow,slopeHigh')
    expect(row).toContain(tests['AM-01 2024-05-12'])
  })
})

describe('what lapses', () => {
  const inDays = (days: number): string => dayOf(dayNumber(today()) + days)
  const certificate = (number: string, validUntil: string) => ({ number, validFrom: '2025-01-01', validUntil })

  test('is each certificate that ends with nothing after it, with its last use', async () => {
    const add = (code: string, validUntil: string) =>
      world.made('firmB', 'POST /v1/instruments', {
        code,
        kind: 'stopwatch',
        effectiveFrom: '2025-01-01',
        certificate: certificate(`C-${code}`, validUntil),
      })
    await add('on-the-day', inDays(60))
    await add('too-late', inDays(61))
    const renewed = await add('renewed', inDays(10))
    await add('ended', inDays(-1))
    await service.call('firmB', `POST /v1/instruments/${renewed}/revisions`, {
      body: { effectiveFrom: inDays(10), certificate: certificate('C-2', inDays(400)) },
    })
    const { items, knownFrom } = await lapses('firmB')
    expect(knownFrom).toBe('registry')
    expect(items).toMatchObject([
      { what: 'certificate', code: 'ended', state: 'lapsed', daysLeft: -1, certificate: 'C-ended' },
      { what: 'certificate', code: 'on-the-day', state: 'lapsing', daysLeft: 60, instrumentKind: 'stopwatch' },
    ])
    expect(items[0]).not.toHaveProperty('lastUsedOn')
    const { items: own } = await lapses('firmA', '?withinDays=3650')
    expect(own.find(({ code }) => code === 'pitot-1')).toMatchObject({
      lastUsedOn: '2026-05-12',
      validUntil: '2027-03-31',
      firmId: service.firmA,
    })
    const { items: all } = await lapses('auditor', '?withinDays=3650&limit=200')
    expect(new Set(all.map(({ firmId }) => firmId))).toEqual(new Set([service.firmA, service.firmB]))
  })

  test('is each qualification, by the last word on it', async () => {
    const tester = await world.made('firmB', 'POST /v1/testers', {
      code: 'T-9',
      qualifications: [
        { code: 'electrical', validFrom: '2024-01-01', validUntil: inDays(5) },
        { code: 'field-tester', validFrom: '2024-01-01', validUntil: inDays(6) },
      ],
    })
    const qualifications = async () =>
      (await lapses('firmB')).items.flatMap(({ qualification }) => (qualification === undefined ? [] : [qualification]))
    expect(await qualifications()).toEqual(['electrical', 'field-tester'])
    await world.made('firmB', `POST /v1/testers/${tester}/qualifications`, {
      code: 'electrical',
      validFrom: inDays(6),
      validUntil: inDays(700),
    })
    expect(await qualifications()).toEqual(['field-tester'])
  })

  test('is told to a program as it stood with the last test it was given', async () => {
    const { items, knownFrom } = await lapses('program', '?withinDays=3650')
    expect(knownFrom).toBe('last-test')
    expect(items.map(({ code, what }) => `${what} ${code}`).toSorted()).toEqual([
      'certificate gauge-100',
      'certificate pitot-1',
      'certificate sounder-a',
      'certificate watch-1',
      'qualification T-01',
    ])
    for (const item of items) {
      expect(item).toMatchObject({ lastUsedOn: '2026-05-12', lastTestId: tests['AM-01 2026-05-12'] })
      expect(item).not.toHaveProperty('instrumentId')
    }
  })

  test('has no use that was before the paper began to stand', async () => {
    const { body } = await service.call<{ items: { id: string }[] }>('firmA', 'GET /v1/instruments?code=watch-1')
    const revision = { number: 'C-2', validFrom: '2026-05-13', validUntil: inDays(30) }
    const recorded = { effectiveFrom: '2026-05-13', certificate: revision }
    await world.made('firmA', `POST /v1/instruments/${body.items[0]!.id}/revisions`, recorded)
    const watch = (await lapses('firmA')).items.find(({ code }) => code === 'watch-1')
    expect(watch).toMatchObject({ certificate: 'C-2', daysLeft: 30 })
    expect(watch).not.toHaveProperty('lastUsedOn')
  })

  test('comes page by page, each once', async () => {
    const all = (await lapses('auditor', '?withinDays=3650&limit=200')).items
    const seen: unknown[] = []
    for (let query: string | undefined = '?withinDays=3650&limit=3'; query !== undefined; ) {
      const { items, next }: Lapses = await lapses('auditor', query)
      seen.push(...items)
      query = next && `?withinDays=3650&limit=3&cursor=${next}`
    }
    expect(seen).toEqual(all)
  })
})
