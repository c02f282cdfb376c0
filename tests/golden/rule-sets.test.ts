/**
 * The example rule set over the golden sheets. Amounts are worked by hand: 260.00 for an electric plant of 100 hp and one
 * run, 90.00 more from three runs on, 60.00 more for an engine.
 */
import { readFileSync } from 'node:fs'
import { goldenCases } from '@liftledger/calc/testing'
import { describe, expect, test } from 'vitest'
import { contradictionsOf } from '../../packages/service/src/programs/rules/check.ts'
import { judge } from '../../packages/service/src/programs/rules/judge.ts'
import type { Material } from '../../packages/service/src/programs/rules/material.ts'
import type { RuleSetContent } from '../../packages/service/src/programs/rules/schema.ts'
import { aloneInProgram, judgedInShort } from './judged-in-short.ts'

const read = (file: string): unknown => JSON.parse(readFileSync(new URL(`rule-sets/${file}`, import.meta.url), 'utf8'))
const example = read('ambermoor-3.json') as RuleSetContent
const cases = goldenCases('2026-1')

function materialOf(id: string, change: Partial<Pick<Material, 'sheet' | 'context'>> = {}): Material {
  const { sheet, context } = { ...cases.find((one) => one.id === id)!, ...change }
  return aloneInProgram(sheet, context)
}

const rule = (judged: ReturnType<typeof judge>, id: string) => judged.rules.find((one) => one.rule === id)!

describe('the example rule set', () => {
  test.each([
    ['SHEET-01', '260.00', ['t-large']],
    ['SHEET-11', '350.00', ['t-large', 't-multi']],
  ])('pays for %s %s', (id, amount, lines) => {
    const judged = judge(example, materialOf(id))
    expect(judged.amount.amount).toBe(amount)
    expect(judged.amount.steps.map((step) => step.rule)).toEqual(lines)
    expect(judged.amount.steps.at(-1)?.total).toBe(amount)
  })

  test('pays 320.00 for one run of an engine of 125 hp', () => {
    const { context } = materialOf('SHEET-01')
    const equipment = {
      ...context.plant.equipment!,
      driver: 'engine' as const,
      ratedPower: { value: 125, unit: 'hp' as const },
    }
    const engine = materialOf('SHEET-01', { context: { ...context, plant: { ...context.plant, equipment } } })
    const { amount } = judge(example, engine)
    expect(amount.amount).toBe('320.00')
    expect(amount.steps.map(({ rule: line, total }) => [line, total])).toEqual([
      ['t-large', '260.00'],
      ['t-engine', '320.00'],
    ])
  })

  test('tells what is missing, and fails nobody for it', () => {
    const judged = judge(example, materialOf('SHEET-01'))
    const missing = judged.rules.filter(({ outcome }) => outcome === 'not-decidable').map((one) => one.rule)
    expect(missing).toEqual(expect.arrayContaining(['use', 'test-age', 'meter-photo']))
    for (const id of missing) expect(rule(judged, id).because).toMatch(/\w{3}/)
    expect(judged.payable).toBe(false)
  })

  test('decides nothing about an amount whose fact is missing', () => {
    const { context } = materialOf('SHEET-01')
    const { ratedPower: _, ...equipment } = context.plant.equipment!
    const nameless = materialOf('SHEET-01', { context: { ...context, plant: { ...context.plant, equipment } } })
    const { amount } = judge(example, nameless)
    expect(amount).not.toHaveProperty('amount')
    expect(amount.open.map((line) => line.rule)).toEqual(['t-small', 't-large'])
  })

  test('takes its own limits and severities of findings, and no others', () => {
    const material = materialOf('SHEET-01')
    const strict = {
      ...example,
      findings: { limits: { 'straight-run-short-upstream': { minUpstream: { value: 1000, unit: 'diameters' } } } },
    }
    expect(contradictionsOf(strict, { published: [], today: '2026-01-01' }).map(({ code }) => code)).not.toContain(
      'limit-fixed',
    )
    const raised = judge(strict, material).findings.find(({ id }) => id === 'straight-run-short-upstream')
    expect(raised).toMatchObject({ severity: 'caution', changed: 'limit' })
    expect(material.evaluation.findings.map(({ id }) => id)).not.toContain('straight-run-short-upstream')
    const alike = (judged: ReturnType<typeof judge>) => judged.findings.filter(({ id }) => id !== raised!.id)
    expect(alike(judge(strict, material))).toEqual(alike(judge({ ...example, findings: {} }, material)))
  })

  test('holds up a test whose certificate had run out, until the program decides', () => {
    const { context, sheet } = materialOf('SHEET-01')
    const expired = {
      ...context,
      instruments: context.instruments.map((instrument) => ({
        ...instrument,
        ...(instrument.certificate && { certificate: { ...instrument.certificate, validUntil: '2025-12-31' } }),
      })),
    }
    const material = materialOf('SHEET-01', { context: expired })
    const judged = judge(example, material)
    const holds = judged.findings.filter(({ severity }) => severity === 'hold')
    expect(new Set(holds.map(({ id, changed }) => `${id} ${changed}`))).toEqual(
      new Set(['instrument-calibration-expired severity']),
    )
    expect([material.evaluation.soundness, judged.soundness]).toEqual(['sound', 'in-question'])
    expect(rule(judged, 'calibration').outcome).toBe('not-met')
    const decided = (outcome: 'stands' | 'does-not-stand') => {
      const decisions = holds.map(({ id, run, place }) => ({ finding: id, run, place, outcome }))
      return judge(example, { ...material, decisions }).soundness
    }
    expect([decided('stands'), decided('does-not-stand')]).toEqual(['unsound', 'sound'])
    expect(judge(example, { ...material, closed: 'withdrawn' }).soundness).toBe('withdrawn')
    expect(sheet.testedOn > '2025-12-31').toBe(true)
  })

  test('never holds against a test what was left out for safety', () => {
    const { sheet } = materialOf('SHEET-01')
    const { standingLevel: _, ...without } = sheet
    const left = (reason: 'unsafe' | 'no-access') =>
      materialOf('SHEET-01', { sheet: { ...without, leftOut: [{ reading: 'standing-level', reason }] } })
    expect(rule(judge(example, left('unsafe')), 'standing-level')).toMatchObject({
      outcome: 'met',
      because: 'left out for safety',
    })
    const insisting = { ...example, readings: example.readings.map(({ unless: _unless, ...one }) => one) }
    expect(rule(judge(insisting, left('unsafe')), 'standing-level').outcome).toBe('met')
    expect(rule(judge(insisting, left('no-access')), 'standing-level').outcome).toBe('not-decidable')
  })

  test('judges every golden sheet as it was frozen', () => {
    const judged = Object.fromEntries(cases.map((one) => [one.id, judgedInShort(example, one)]))
    const frozen = read('judgements.json') as Record<string, unknown>
    for (const [id, one] of Object.entries(frozen)) expect({ [id]: judged[id] }).toEqual({ [id]: one })
    expect(Object.keys(frozen)).toContain('SHEET-01')
  })
})
