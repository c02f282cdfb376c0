import { formulas } from '@liftledger/calc'
import { describe, expect, test, vi } from 'vitest'
import { type Disagreement, isDisagreement, judge } from './check.ts'
import { checks } from './list.ts'
import { figures, report, vectorFigures, vectorReport } from './report.ts'

const outcomes = checks.map(judge)
const agreeing = checks.filter((check) => !isDisagreement(check))

describe('outside values', () => {
  test.each(outcomes.map((outcome) => [outcome.check.id, outcome] as const))('%s', (_, { failed, check, computed }) => {
    expect(failed, `${check.what}: printed ${check.printed}, here ${computed} ${check.unit}`).toBe(false)
  })

  test('are at least 130, a hundred of them looked up', () => {
    expect(agreeing.length).toBeGreaterThanOrEqual(130)
    expect(agreeing.filter(({ source }) => source.basis === 'looked up').length).toBeGreaterThanOrEqual(100)
  })

  test('have ids of their own', () => {
    expect(new Set(checks.map(({ id }) => id)).size).toBe(checks.length)
  })

  test('say where they are printed, and where a copy was read if they were looked up', () => {
    for (const { id, source } of checks) {
      const { publisher, document, place } = source.publication
      for (const text of [publisher, document, place]) expect(text, id).not.toBe('')
      expect(source.address !== undefined, id).toBe(source.basis === 'looked up')
    }
  })

  test('disagree only for a cause that is told', () => {
    const differing = checks.filter(isDisagreement)
    expect(differing.length).toBeGreaterThanOrEqual(5)
    for (const { cause } of differing) expect(cause.length).toBeGreaterThan(10)
  })
})

describe('judging', () => {
  const value = checks.find(({ id }) => id === 'units-003')!
  const apart = checks.find(isDisagreement)!

  test('a value beyond its printed digits fails', () => {
    expect(judge({ ...value, computed: () => value.printed + 2 * value.within }).failed).toBe(true)
    expect(judge({ ...value, computed: () => Number.NaN }).failed).toBe(true)
    expect(judge({ ...value, computed: () => value.printed }).failed).toBe(false)
  })

  test('a disagreement that vanishes, or differs otherwise than explained, fails', () => {
    const with_ = (computed: number): Disagreement => ({ ...apart, computed: () => computed })
    expect(judge(with_(apart.printed)).failed).toBe(true)
    expect(judge(with_(apart.printed * (1 + 2 * apart.apart))).failed).toBe(true)
    expect(judge(with_(apart.printed * (1 - apart.apart))).failed).toBe(true)
    expect(judge(with_(apart.printed * (1 + apart.apart))).failed).toBe(false)
  })

  test('a failure is counted and shown, also in the short report', () => {
    const failing = [...outcomes.slice(1), judge({ ...value, computed: () => 0 })]
    expect(figures(failing).find(({ id }) => id === 'checks.failed')!.value).toBe(1)
    expect(report(failing, false).join('\n')).toContain(`FAILED ${value.id}`)
    expect(report(outcomes, false).join('\n')).not.toContain('FAILED')
  })
})

describe('published vectors', () => {
  const outcome = { id: 'vectors.some', source: 'A publisher', full: true, passed: 3, total: 3, failures: [] }

  test('are reported as passed of total, and where the full suite is missing', () => {
    expect(vectorReport([outcome])).toContain('  vectors.some 3/3  A publisher')
    expect(vectorReport([{ ...outcome, full: false }]).join('\n')).toContain('the full suite is not at hand')
  })

  test('that fail are shown, and fall short of the goal', () => {
    const failing = { ...outcome, passed: 2, failures: ['case 3: the root is wrong'] }
    expect(vectorReport([failing]).join('\n')).toContain('FAILED case 3')
    expect(vectorFigures([failing])).toEqual([{ id: 'vectors.some', value: 2, unit: '1', goal: 3, better: 'higher' }])
  })
})

test('every formula meets an outside value', () => {
  const spies = formulas.map((formula) => [formula.id, vi.spyOn(formula, 'value')] as const)
  for (const check of checks) check.computed()
  const unmet = spies.filter(([, spy]) => spy.mock.calls.length === 0).map(([id]) => id)
  vi.restoreAllMocks()
  expect(unmet).toEqual([])
})
