/**
 * Refuse or keep: a sheet of the right shape is always kept, whatever was read or is missing, and its findings say
 * what is wrong. What is no sheet is in refused.test.ts.
 */
import { flowBy, sounded } from '@liftledger/calc/testing'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, storedRows, visitSheet } from '../../../../tests/setup/visit.ts'
import type { FieldTest } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

const run = visitSheet.runs[0]!
const flow = flowBy(run, 'pitot-traverse')
const level = (sheet: typeof visitSheet.standingLevel) => ({ method: sheet!.method, reading: sounded(sheet).reading })
const fewer = (points: number) =>
  flow.diameters.map((diameter) => ({ ...diameter, points: diameter.points.slice(0, points) }))
const leftOut = (reason: string, ...readings: string[]) => readings.map((reading) => ({ reading, reason }))

interface Kept {
  readonly soundness: FieldTest['soundness']
  /** Findings that it must have, as `severity id place`. */
  readonly findings: readonly string[]
  /** Quantities it has no result for, though the untouched sheet has. */
  readonly lacks?: readonly string[]
}

const cases: readonly (readonly [what: string, changes: Record<string, unknown>, Kept])[] = [
  ['nothing wrong', {}, { soundness: 'sound', findings: [] }],
  [
    'empty timings',
    { '/runs/0/power/timings': [] },
    {
      soundness: 'unsound',
      findings: ['reject input-power-reading-missing /runs/0/power'],
      lacks: ['input-power', 'overall-plant-efficiency', 'energy-per-volume'],
    },
  ],
  [
    'the levels swapped',
    { '/standingLevel': level(run.pumpingLevel), '/runs/0/pumpingLevel': level(visitSheet.standingLevel) },
    {
      soundness: 'in-question',
      findings: ['hold pumping-level-above-standing /runs/0/pumpingLevel'],
      lacks: ['specific-capacity'],
    },
  ],
  [
    'a traverse point below zero',
    { '/runs/0/flow/diameters/0/points/0/value': -0.3 },
    { soundness: 'unsound', findings: ['reject traverse-point-negative /runs/0/flow/diameters'], lacks: ['flow'] },
  ],
  [
    'no standing level',
    { '/standingLevel': undefined },
    {
      soundness: 'sound',
      findings: ['caution standing-level-missing /standingLevel'],
      lacks: ['drawdown', 'specific-capacity', 'standing-water-level'],
    },
  ],
  [
    'no pumping level',
    { '/runs/0/pumpingLevel': undefined },
    {
      soundness: 'unsound',
      findings: ['reject pumping-level-missing /runs/0/pumpingLevel'],
      lacks: ['lift', 'total-dynamic-head', 'overall-plant-efficiency'],
    },
  ],
  [
    'no flow',
    { '/runs/0/flow': undefined },
    {
      soundness: 'unsound',
      findings: ['reject flow-reading-missing /runs/0/flow'],
      lacks: ['flow', 'water-power', 'overall-plant-efficiency'],
    },
  ],
  [
    'a traverse without a diameter',
    { '/runs/0/flow/diameters': [] },
    { soundness: 'unsound', findings: ['reject flow-reading-missing /runs/0/flow'], lacks: ['flow'] },
  ],
  [
    'no power',
    { '/runs/0/power': undefined },
    {
      soundness: 'unsound',
      findings: ['reject input-power-reading-missing /runs/0/power'],
      lacks: ['input-power', 'overall-plant-efficiency'],
    },
  ],
  [
    'no discharge pressure',
    { '/runs/0/dischargePressure': undefined },
    {
      soundness: 'unsound',
      findings: ['reject discharge-pressure-missing /runs/0/dischargePressure'],
      lacks: ['total-dynamic-head', 'overall-plant-efficiency'],
    },
  ],
  [
    'a discharge pressure below zero',
    { '/runs/0/dischargePressure/reading/value': -3 },
    { soundness: 'in-question', findings: ['hold discharge-pressure-negative /runs/0/dischargePressure/reading'] },
  ],
  [
    'too few traverse points',
    { '/runs/0/flow/diameters': fewer(4) },
    { soundness: 'in-question', findings: ['hold traverse-points-too-few /runs/0/flow/diameters'] },
  ],
  [
    'an odd number of traverse points',
    { '/runs/0/flow/diameters': fewer(9) },
    { soundness: 'in-question', findings: ['hold traverse-points-odd /runs/0/flow/diameters'] },
  ],
  [
    'a run with nothing in it',
    { '/runs': [{}] },
    {
      soundness: 'unsound',
      findings: [
        'reject pumping-level-missing /runs/0/pumpingLevel',
        'reject discharge-pressure-missing /runs/0/dischargePressure',
        'reject flow-reading-missing /runs/0/flow',
        'reject input-power-reading-missing /runs/0/power',
      ],
      lacks: ['flow', 'lift', 'input-power', 'overall-plant-efficiency'],
    },
  ],
  [
    'the power left out as unsafe',
    { '/runs/0/power': undefined, '/leftOut': leftOut('unsafe', 'power') },
    {
      soundness: 'sound',
      findings: ['caution input-power-reading-missing /runs/0/power'],
      lacks: ['input-power', 'overall-plant-efficiency'],
    },
  ],
  [
    'everything left out as unsafe',
    {
      '/standingLevel': undefined,
      '/runs/0': { condition: run.condition },
      '/leftOut': leftOut('unsafe', 'standing-level', 'pumping-level', 'discharge-pressure', 'flow', 'power'),
    },
    {
      soundness: 'sound',
      findings: [
        'caution pumping-level-missing /runs/0/pumpingLevel',
        'caution standing-level-missing /standingLevel',
        'caution discharge-pressure-missing /runs/0/dischargePressure',
        'caution flow-reading-missing /runs/0/flow',
        'caution input-power-reading-missing /runs/0/power',
      ],
      lacks: ['flow', 'lift', 'input-power', 'overall-plant-efficiency'],
    },
  ],
  [
    'a pumping level that could not be reached',
    { '/runs/0/pumpingLevel': undefined, '/leftOut': leftOut('no-access', 'pumping-level') },
    { soundness: 'sound', findings: ['caution pumping-level-missing /runs/0/pumpingLevel'], lacks: ['lift'] },
  ],
  [
    'no run, where the plant was not safe to test',
    { '/runs': [], '/purpose': 'not-testable', '/notTestableBecause': 'unsafe' },
    { soundness: 'sound', findings: ['note plant-not-testable /purpose'], lacks: ['flow', 'input-power'] },
  ],
]

describe('a sheet is kept', () => {
  test.each(cases)('with %s', async (_, changes, { soundness, findings, lacks = [] }) => {
    const before = await storedRows(service)
    const { status, body } = await service.call<FieldTest>('firmA', 'POST /v1/tests', { body: sheetWith(changes) })
    expect(status).toBe(201)
    expect(await storedRows(service)).toMatchObject({ tests: before.tests + 1, entries: before.entries + 1 })
    const told = body.findings.map(({ severity, id, place }) => `${severity} ${id} ${place}`)
    expect(told).toEqual(expect.arrayContaining([...findings]))
    // Nothing graver than the soundness allows, and nothing that would make it graver.
    const severities = new Set(body.findings.map(({ severity }) => severity))
    expect(body.soundness).toBe(soundness)
    expect(severities.has('reject')).toBe(soundness === 'unsound')
    if (soundness === 'sound') expect(severities.has('hold')).toBe(false)
    const reported = body.results.map(({ quantity }) => quantity as string)
    for (const quantity of lacks) expect(reported).not.toContain(quantity)
    expect((await service.call('firmA', `GET /v1/tests/${body.id}`)).body).toEqual(body)
    await expectListed(body)
  })

  test('and the untouched one has every quantity that the others lack', async () => {
    const { body } = await service.call<FieldTest>('firmA', 'POST /v1/tests', { body: visitSheet })
    const reported = body.results.map(({ quantity }) => quantity as string)
    expect(reported).toEqual(expect.arrayContaining(cases.flatMap(([, , { lacks = [] }]) => lacks)))
  })
})

/** In the list it stands with the same soundness, as many findings, and main quantities where it has them. */
async function expectListed(stored: FieldTest): Promise<void> {
  const { body } = await service.call<{ items: Record<string, unknown>[] }>('firmA', 'GET /v1/tests?limit=200')
  const [summary] = body.items.filter(({ id }) => id === stored.id)
  const count = (severity: string) => stored.findings.filter((finding) => finding.severity === severity).length
  const value = (quantity: string) => stored.results.find((result) => result.quantity === quantity)?.value
  expect(summary).toMatchObject({
    soundness: stored.soundness,
    findings: { reject: count('reject'), hold: count('hold'), caution: count('caution'), note: count('note') },
  })
  expect(summary!.flowM3S).toBe(value('flow'))
  expect(summary!.headM).toBe(value('total-dynamic-head'))
  expect(summary!.inputPowerW).toBe(value('input-power'))
  expect(summary!.overallPlantEfficiency).toBe(value('overall-plant-efficiency'))
}
