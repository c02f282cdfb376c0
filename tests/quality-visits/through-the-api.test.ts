/** A small basin through the API: its tests and re-tests submitted, given to a program, and its testers compared there. */
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { TesterStatistics } from '../../packages/service/src/statistics/testers/schemas.ts'
import { registerSimulated, submitVisits } from '../../seed/fill.ts'
import { startTestService, type TestService } from '../setup/service.ts'
import { visitedBasin } from './basin.ts'

const SIZE = { firms: 8, testersPerFirm: 1, plants: 150, years: 2, shares: { atRandom: 0.6, byWeight: 0.2 } } as const

let service: TestService
let answer: TesterStatistics
/** Firms whose only tester has a biased instrument. */
let biased: ReadonlySet<string>

beforeAll(async () => {
  service = await startTestService()
  const { basin, first, pairs } = visitedBasin(3, { biased: 1, bias: 0.14 }, SIZE)
  const url = await service.listen()
  // Whoever is asked to test again has access to the plant.
  const codes = basin.firms.map(({ code }) => code)
  const plants = basin.plants.map((plant) => ({
    ...plant,
    firms: [...plant.firms, ...codes.filter((code) => !plant.firms.includes(code))],
  }))
  const firms = await registerSimulated(url, service.keys.admin, { ...basin, plants })
  const given: Promise<unknown>[] = []
  await submitVisits(firms, [...first, ...pairs.map(({ again }) => again)], {
    onTest: ({ id }, { firm }) => {
      const consent = { givenAt: '2026-01-01T09:30:00Z', by: 'grower', evidence: 'E-1' } as const
      given.push(firms.get(firm.code)!.client.tests.giveToProgram(id, { programId: service.program, consent }))
    },
  })
  await Promise.all(given)
  biased = new Set(
    basin.firms.flatMap(({ code, testers }) => (testers[0]!.bias === undefined ? [] : [firms.get(code)!.id])),
  )
  answer = (await service.call<TesterStatistics>('program', 'GET /v1/statistics/testers')).body
}, 120_000)
afterAll(() => service.close())

test('the tester with the biased instrument lies beyond the outer limit on the same plants, and nobody else', () => {
  expect(biased.size).toBe(1)
  expect(answer.samePlants.testers).toHaveLength(8)
  const apart = answer.samePlants.testers.filter(({ place }) => place === 'beyond-outer')
  expect(new Set(apart.map(({ firmId }) => firmId))).toEqual(biased)
  expect(Math.abs(apart[0]!.difference)).toBeGreaterThan(0.05)
  expect(answer.remark).toMatch(/no fault/)
})

test('an auditor reads the same of all tests, a firm nothing', async () => {
  const { body } = await service.call<TesterStatistics>('auditor', 'GET /v1/statistics/testers')
  expect(body).toEqual({ ...answer, of: 'all-tests', ledgerSize: body.ledgerSize })
  for (const caller of ['firmA', 'keeper', 'admin'] as const)
    expect((await service.call(caller, 'GET /v1/statistics/testers')).status).toBe(403)
})

test('the table has a row for each tester and comparison', async () => {
  const { body: text } = await service.call<string>('program', 'GET /v1/statistics/testers', {
    headers: { accept: 'text/csv' },
  })
  const [head, ...rows] = text.trimEnd().split('\r\n')
  expect(head).toContain('comparison,testerId,firmId,count')
  const told = (of: TesterStatistics['allTests']): number => of.testers.length + of.tooFew.length
  expect(rows).toHaveLength(told(answer.allTests) + told(answer.samePlants))
})

test.each([
  ['light', 320],
  ['dark', 320],
  ['auto', 900],
])('the chart is drawn %s at %i pixels, with limits, axes and counts', async (theme, width) => {
  const { body: text } = await service.call<string>(
    'program',
    `GET /v1/statistics/testers/chart?theme=${theme}&width=${width}`,
  )
  expect(text).toContain(`width="${width}"`)
  // Two limits to each side in each of two plots.
  expect(text.match(/<path d="M[^"]*" class="(line|second)"/g)).toHaveLength(8)
  expect(text).toContain('difference, % of the efficiency')
  expect(text).toContain('8 testers')
  expect(text).not.toMatch(/NaN|undefined/)
})

test('years leave out what lies before and after', async () => {
  const { body } = await service.call<TesterStatistics>(
    'program',
    'GET /v1/statistics/testers?yearFrom=2024&yearTo=2024',
  )
  expect(body.tests).toBeGreaterThan(0)
  expect(body.tests).toBeLessThan(answer.tests)
  const { body: none } = await service.call<TesterStatistics>('program', 'GET /v1/statistics/testers?driver=engine')
  expect(none).toMatchObject({ tests: 0, allTests: { testers: [] }, samePlants: { testers: [] } })
})
