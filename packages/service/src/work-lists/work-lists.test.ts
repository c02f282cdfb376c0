/** Work lists through the routes: who sees what, and that figures are those of the tests behind them. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { asKey, draftRules, officeKey, rulesOf } from '../../../../tests/setup/rule-sets.ts'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitContext } from '../../../../tests/setup/visit.ts'
import { dayInUtc, dayNumber, dayOf } from './days.ts'
import type { Lapses, PlantsDue, PlantsFalling, StandingLevels } from './schemas.ts'

let service: TestService
const plantIds: Record<string, string> = {}
const tests: Record<string, string> = {}
const today = (): string => dayInUtc(service.deps.now())

const consent = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-1' }
type Changes = Readonly<Record<string, unknown>>

async function made(caller: Caller, route: `${string} ${string}`, body: unknown): Promise<string> {
  const answer = await service.call<{ id: string }>(caller, route, { body })
  if (answer.status !== 201) throw new Error(`${route} answered ${answer.status}: ${JSON.stringify(answer.body)}`)
  return answer.body.id
}

async function plant(code: string, reference: string, region = 'Upper-Ambermoor'): Promise<void> {
  const { revision: _, ...equipment } = visitContext.plant.equipment!
  plantIds[code] = await made('firmA', 'POST /v1/plants', { code, kind: 'well', region, reference, equipment })
}

/** The visit at another plant on another day. */
async function visit(code: string, day: string, changes: Changes = {}, caller: Caller = 'firmA'): Promise<string> {
  const sheet = JSON.stringify(sheetWith({ '/plant': code, ...changes })).replaceAll('2026-05-12', day)
  const id = await made(caller, 'POST /v1/tests', sheet)
  tests[`${code} ${day}`] = id
  return id
}
const give = (id: string) => made('firmA', `POST /v1/tests/${id}/programs`, { programId: service.program, consent })

/** Revolutions of the meter in fewer seconds: more power for the same water. */
const seconds = (elapsed: number): Changes =>
  Object.fromEntries(
    [-0.1, 0, 0.1].map((more, n) => [`/runs/0/power/timings/${n}/elapsed/value`, Number((elapsed + more).toFixed(1))]),
  )
/** The water stands lower by so many feet. */
const deeper = (feet: number): Changes => ({
  '/standingLevel/reading/value': Number((118.4 + feet).toFixed(1)),
  '/standingLevel/repeats': undefined,
})
const HELD = { '/runs/0/dischargePressure/reading/value': -3 }

const read = async <B>(caller: Caller, route: string): Promise<B> => {
  const { status, body } = await service.call<B>(caller, `GET ${route}`)
  if (status !== 200) throw new Error(`${route} answered ${status}: ${JSON.stringify(body)}`)
  return body
}
const due = (caller: Caller, query = '?intervalDays=365') =>
  read<PlantsDue>(caller, `/v1/work-lists/plants-due${query}`)
const falling = (caller: Caller, query = '') => read<PlantsFalling>(caller, `/v1/work-lists/plants-falling${query}`)
const lapses = (caller: Caller, query = '') => read<Lapses>(caller, `/v1/work-lists/lapses${query}`)
const levels = (caller: Caller, query = '') => read<StandingLevels>(caller, `/v1/work-lists/standing-levels${query}`)

beforeAll(async () => {
  service = await startTestService()
  plantIds['AM-01'] = (await registerContext(service, 'firmA')).plantId
  for (const code of ['STEADY', 'HELD', 'NEW', 'CHANGED']) await plant(code, 'C-9', 'Thornlow')
  const years = ['2024-05-12', '2025-05-12', '2026-05-12']
  for (const [n, day] of years.entries()) {
    await visit('AM-01', day, seconds(33.4 - 2 * n))
    await visit('STEADY', day)
    await visit('CHANGED', day, seconds(33.4 - 2 * n))
  }
  const equipment = { ...visitContext.plant.equipment!, effectiveFrom: '2025-01-01', stages: 7 }
  const { revision: _, ...facts } = equipment
  await service.call('firmA', `POST /v1/plants/${plantIds.CHANGED}/equipment`, { body: facts })
  await visit('HELD', '2026-05-12', HELD)
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
    const id = await visit('STEADY', '2026-05-14', HELD)
    await give(id)
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
    await made('program', `POST /v1/tests/${id}/decisions`, {
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
    for (const day of ['2024-05-12', '2025-05-12']) await give(tests[`AM-01 ${day}`]!)
    expect((await falling('program')).plantsLookedAt).toMatchObject({ fitted: 0 })
    await give(tests['AM-01 2026-05-12']!)
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
      made('firmB', 'POST /v1/instruments', {
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
    const tester = await made('firmB', 'POST /v1/testers', {
      code: 'T-9',
      qualifications: [
        { code: 'electrical', validFrom: '2024-01-01', validUntil: inDays(5) },
        { code: 'field-tester', validFrom: '2024-01-01', validUntil: inDays(6) },
      ],
    })
    const qualifications = async () =>
      (await lapses('firmB')).items.flatMap(({ qualification }) => (qualification === undefined ? [] : [qualification]))
    expect(await qualifications()).toEqual(['electrical', 'field-tester'])
    await made('firmB', `POST /v1/testers/${tester}/qualifications`, {
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

describe('standing levels', () => {
  const WELLS = [1, 2, 3, 4, 5]

  test('are told of five wells of three customers, and withheld of fewer', async () => {
    for (const n of WELLS.slice(0, 4)) await well(n, n < 3 ? 'C-1' : 'C-2')
    expect((await levels('firmA', '?region=Sedge-Flats')).items).toEqual([
      { region: 'Sedge-Flats', season: 'march-to-may', withheld: 'too few' },
    ])
    // A fifth well, and still two customers: then a third.
    await well(5, 'C-2')
    expect((await levels('firmA', '?region=Sedge-Flats')).withheldRows).toBe(1)
    await service.call('firmA', `PATCH /v1/plants/${plantIds['SF-5']}`, {
      body: { reference: 'C-3' },
      headers: { 'content-type': 'application/merge-patch+json', 'if-match': await etagOf('SF-5') },
    })
    const { items, withheldRows, minimum } = await levels('auditor', '?region=Sedge-Flats')
    expect([withheldRows, minimum]).toEqual([0, { plants: 5, customers: 3 }])
    // Falls of 1 to 5 ft in a year of 365 days: 3 ft on average, t(4) = 2.776445 times √2.5/√5 ft on either side.
    const aYear = (feet: number) => (feet * 0.3048 * 365.2425) / 365
    expect(items).toMatchObject([
      { season: 'march-to-may', wells: 5, levels: 10, firstYear: 2025, lastYear: 2026, levelsAre: 'falling' },
    ])
    expect(items[0]!.changeMPerYear).toBeCloseTo(aYear(3), 9)
    expect(items[0]!.changeLow).toBeCloseTo(aYear(3 - 2.776445105 * Math.SQRT1_2), 8)
    expect(items[0]!.changeHigh).toBeCloseTo(aYear(3 + 2.776445105 * Math.SQRT1_2), 8)
  })

  test('of another season are a row of their own, and a well of one year tells nothing', async () => {
    await visit('SF-1', '2026-08-12', deeper(9))
    const { items, wellsLeftOut } = await levels('firmA', '?region=Sedge-Flats')
    expect(items).toHaveLength(1)
    expect(items[0]).toMatchObject({ season: 'march-to-may' })
    expect(wellsLeftOut).toBe(0)
    await plant('SF-6', 'C-4', 'Sedge-Flats')
    await visit('SF-6', '2026-05-12', deeper(8))
    const after = await levels('firmA', '?region=Sedge-Flats')
    expect(after.wellsLeftOut).toBe(1)
    expect(after.items).toEqual(items)
  })

  test('are a program’s of what it was given', async () => {
    expect((await levels('program', '?region=Sedge-Flats')).items).toEqual([])
    for (const n of WELLS) for (const year of [2025, 2026]) await give(tests[`SF-${n} ${year}-05-12`]!)
    const [own] = (await levels('program', '?region=Sedge-Flats')).items
    expect(own).toEqual((await levels('auditor', '?region=Sedge-Flats')).items[0])
    expect((await levels('firmB')).items).toEqual([])
  })

  /** Stands n feet lower in the second year. */
  async function well(n: number, customer: string): Promise<void> {
    await plant(`SF-${n}`, customer, 'Sedge-Flats')
    await visit(`SF-${n}`, '2025-05-12', deeper(0))
    await visit(`SF-${n}`, '2026-05-12', deeper(n))
  }
  const etagOf = async (code: string): Promise<string> =>
    String((await service.call('firmA', `GET /v1/plants/${plantIds[code]}`)).headers.etag)
})
