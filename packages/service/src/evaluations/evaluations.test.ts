import { type Context, type Evaluation, evaluate, latestEdition, type Trace, traceQuantity } from '@liftledger/calc'
import { canonicalBytes, sha256 } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, storedRows, visitContext, visitSheet } from '../../../../tests/setup/visit.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

interface Answer {
  readonly evaluation: Evaluation
  readonly context: Context
  readonly contextSha256: string
  readonly evaluationSha256: string
  readonly trace?: Trace
}

async function evaluated(sheet: object = visitSheet, query = ''): Promise<Answer> {
  const answer = await service.call<Answer>('firmA', `POST /v1/evaluations${query}`, { body: sheet })
  expect(answer.status).toBe(200)
  return answer.body
}

const hashOf = (value: unknown): string => Buffer.from(sha256(canonicalBytes(value))).toString('hex')
const shown = ({ evaluation }: Answer, quantity: string) =>
  evaluation.results.find((result) => result.quantity === quantity)!.shown

describe('an evaluation', () => {
  test('is what the calculation makes of the sheet and the registered records, with the hashes of both', async () => {
    const { evaluation, context, contextSha256, evaluationSha256, trace } = await evaluated()
    expect(context).toEqual(visitContext)
    expect(evaluation).toEqual(evaluate(visitSheet, visitContext, latestEdition))
    expect(contextSha256).toBe(hashOf(context))
    expect(evaluationSha256).toBe(hashOf(evaluation))
    expect(trace).toBeUndefined()
  })

  test('stores nothing', async () => {
    await evaluated()
    expect(await storedRows(service)).toEqual({ tests: 0, contexts: 0, entries: 0, keys: 0 })
  })

  test('of a gauge read 5 psi higher has 11.5 ft more head, and efficiency in proportion', async () => {
    const [before, after] = [
      await evaluated(),
      await evaluated(sheetWith({ '/runs/0/dischargePressure/reading/value': 46.5 })),
    ]
    const [low, high] = [before, after].map((answer) => shown(answer, 'total-dynamic-head')) as [
      ReturnType<typeof shown>,
      ReturnType<typeof shown>,
    ]
    expect([low.unit, high.unit]).toEqual(['ft', 'ft'])
    // 2.31 ft of water a psi, common practice.
    expect(Math.abs(high.value - low.value - 11.5)).toBeLessThan(0.1)
    const efficiency = (answer: Answer) => shown(answer, 'overall-plant-efficiency').value
    // Not to the last digits: air in the manometer is denser at the higher pressure.
    expect(efficiency(after) / efficiency(before) / (high.value / low.value)).toBeCloseTo(1, 3)
  })

  test('leans on the records as they stood on the day of the visit', async () => {
    const { context } = await evaluated(sheetWith({ '/testedOn': '2019-12-31' }))
    expect(context.plant).toEqual({ code: 'AM-01', kind: 'well', region: 'Upper-Ambermoor' })
    expect(context.instruments.map(({ certificate }) => certificate)).toEqual([
      undefined,
      undefined,
      undefined,
      undefined,
    ])
  })
})

/** What a well with a traverse and a disk meter gives. */
const QUANTITIES = evaluate(visitSheet, visitContext, latestEdition).results.map(({ quantity }) => quantity)

describe('a trace beside it', () => {
  test.each(QUANTITIES)('of %s is the one that the calculation gives', async (quantity) => {
    const { trace } = await evaluated(visitSheet, `?trace=${quantity}`)
    expect(trace).toEqual(traceQuantity(visitSheet, visitContext, latestEdition, { quantity, run: 0 }))
    expect(trace).toBeDefined()
  })

  test('is of the run that stands for the normal condition', async () => {
    const twoRuns = { ...visitSheet, runs: [{}, visitSheet.runs[0]], normalRun: 1 }
    expect((await evaluated(twoRuns, '?trace=lift')).trace).toMatchObject({ quantity: 'lift', run: 1 })
  })

  test('is absent where the readings do not give the quantity', async () => {
    const { trace } = await evaluated(sheetWith({ '/standingLevel': undefined }), '?trace=drawdown')
    expect(trace).toBeUndefined()
  })

  test('of a quantity that is none, or under another name, is refused', async () => {
    const unknown = await service.call('firmA', 'POST /v1/evaluations?trace=lifft', { body: visitSheet })
    expect(unknown).toMatchObject({
      status: 400,
      body: { errors: [{ parameter: 'trace', allowed: expect.arrayContaining(['lift', 'total-dynamic-head']) }] },
    })
    const misspelt = await service.call('firmA', 'POST /v1/evaluations?trac=lift', { body: visitSheet })
    expect(misspelt).toMatchObject({ status: 400, body: { errors: [{ parameter: 'trac', code: 'unknown-field' }] } })
  })
})
