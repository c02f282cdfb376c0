/** What a visit promises decides what is asked for; what was left out with a reason is never a fault. */
import { describe, expect, test } from 'vitest'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import type { Evaluation } from './evaluation.ts'
import { LEFT_OUT_READINGS, NOT_TESTABLE_REASONS, type Sheet } from './sheet.ts'
import { sheetProblems } from './sheet-problems.ts'
import { changedVisit, goldenCase } from './testing.ts'

const idsOf = ({ findings }: Evaluation): string[] => findings.map(({ id }) => id)
const graveOf = ({ findings }: Evaluation) =>
  findings.filter(({ severity }) => severity === 'reject' || severity === 'hold').map(({ id }) => id)

/** SHEET-01 without anything that gives head. */
function withoutHead(sheet: Sheet): void {
  delete sheet.standingLevel
  delete sheet.dischargeCentreAboveDatum
  delete sheet.runs[0]!.pumpingLevel
  delete sheet.runs[0]!.dischargePressure
}

describe('a visit for flow and power', () => {
  const { evaluation, result } = changedVisit((sheet) => {
    sheet.purpose = 'flow-and-power'
    withoutHead(sheet)
  })

  test('gives flow, power, energy per volume and cost, and is sound', () => {
    for (const quantity of ['flow', 'input-power', 'energy-per-volume', 'cost-per-volume', 'motor-load'] as const)
      expect(result(quantity).value).toBeGreaterThan(0)
    expect(evaluation.soundness).toBe('sound')
    expect(graveOf(evaluation)).toEqual([])
  })

  test('asks for no level, no pressure and no temperature, and does not miss what they would give', () => {
    expect(idsOf(evaluation).filter((id) => /level|pressure|temperature|suction/.test(id))).toEqual([])
    expect(evaluation.withheld).toEqual([])
  })

  test('promised in full, the same readings are unsound', () => {
    const full = changedVisit(withoutHead).evaluation
    expect(full.soundness).toBe('unsound')
    expect(graveOf(full)).toEqual(expect.arrayContaining(['pumping-level-missing', 'discharge-pressure-missing']))
    expect(full.withheld.map(({ quantity, because }) => `${quantity} ${because}`)).toEqual([
      'total-dynamic-head reading-missing',
      'overall-plant-efficiency reading-missing',
    ])
  })

  test('still asks for flow and power', () => {
    const empty = changedVisit((sheet) => {
      sheet.purpose = 'flow-and-power'
      sheet.runs = [{}]
    }).evaluation
    expect(graveOf(empty)).toEqual(['flow-reading-missing', 'input-power-reading-missing'])
  })

  test('reports the heads that were read after all', () => {
    const visit = changedVisit((sheet) => {
      sheet.purpose = 'flow-and-power'
    })
    expect(visit.result('overall-plant-efficiency').value).toBeCloseTo(0.67343026, 6)
  })
})

describe('a plant that could not be tested', () => {
  const { sheet, context } = goldenCase('SHEET-01')
  const notTestable = (because: (typeof NOT_TESTABLE_REASONS)[number]): Sheet => ({
    plant: sheet.plant,
    kind: 'well',
    testedOn: sheet.testedOn,
    tester: sheet.tester,
    purpose: 'not-testable',
    notTestableBecause: because,
    runs: [],
  })

  test.each(NOT_TESTABLE_REASONS)('because of %s is a sound visit with a note', (because) => {
    expect(sheetProblems(notTestable(because))).toEqual([])
    const evaluation = evaluate(notTestable(because), context, latestEdition)
    expect(evaluation.soundness).toBe('sound')
    expect(evaluation.findings.map(({ id, severity }) => `${severity} ${id}`)).toEqual(['note plant-not-testable'])
    expect(evaluation.findings[0]!.message).toContain(because)
    expect([evaluation.results, evaluation.withheld, evaluation.advice, evaluation.handChecks]).toEqual([
      [],
      [],
      [],
      [],
    ])
  })

  test('asks for nothing again', () => {
    const [note] = evaluate(notTestable('unsafe'), context, latestEdition).findings
    expect(note!.remedy).toMatch(/^Nothing more is asked/)
  })

  test('keeps what was read before the visit ended', () => {
    const { evaluation, result } = changedVisit((visit) => {
      visit.purpose = 'not-testable'
      visit.notTestableBecause = 'pump-wont-run'
      visit.runs = [{}]
    })
    expect(result('standing-water-level').value).toBeCloseTo(118.4 * 0.3048, 9)
    expect(evaluation.soundness).toBe('sound')
  })

  test('names its reason, and only where there is nothing to test', () => {
    expect(sheetProblems({ ...notTestable('unsafe'), purpose: 'full' }).map(({ pointer }) => pointer)).toEqual([
      '/notTestableBecause',
      '/runs',
    ])
    const { notTestableBecause: _, ...nameless } = notTestable('unsafe')
    expect(sheetProblems(nameless)).toMatchObject([{ pointer: '/notTestableBecause', allowed: NOT_TESTABLE_REASONS }])
  })

  test('still tells whose certificate or qualification had run out', () => {
    const lapsed = { ...context, tester: { ...context.tester, qualifications: [] } }
    expect(idsOf(evaluate(notTestable('no-access'), lapsed, latestEdition))).toContain('tester-qualification-lapsed')
  })
})

describe('a reading left out', () => {
  const leaveOut =
    (reading: (typeof LEFT_OUT_READINGS)[number], reason: 'unsafe' | 'no-access') =>
    (sheet: Sheet): void => {
      sheet.leftOut = [{ reading, reason }]
      const run = sheet.runs[0]!
      if (reading === 'pumping-level') delete run.pumpingLevel
      if (reading === 'discharge-pressure') delete run.dischargePressure
      if (reading === 'flow') delete run.flow
      if (reading === 'power') delete run.power
    }
  const readings = [
    ['pumping-level', 'pumping-level-missing'],
    ['discharge-pressure', 'discharge-pressure-missing'],
    ['flow', 'flow-reading-missing'],
    ['power', 'input-power-reading-missing'],
  ] as const

  test.each(readings)('%s: a caution, its results left out, and nothing asked', (reading, id) => {
    for (const reason of ['unsafe', 'no-access'] as const) {
      const { evaluation } = changedVisit(leaveOut(reading, reason))
      const finding = evaluation.findings.find((one) => one.id === id)!
      expect(finding.severity).toBe('caution')
      expect(finding.remedy).toMatch(/^Nothing is asked/)
      expect(evaluation.soundness).toBe('sound')
      expect(evaluation.results.map(({ quantity }) => quantity)).not.toContain('overall-plant-efficiency')
      expect(evaluation.withheld).toContainEqual({
        run: 0,
        quantity: 'overall-plant-efficiency',
        because: 'reading-missing',
      })
    }
  })

  test.each(readings)('%s without a reason is unsound', (reading, id) => {
    const { evaluation } = changedVisit((sheet) => {
      leaveOut(reading, 'unsafe')(sheet)
      delete sheet.leftOut
    })
    expect(graveOf(evaluation)).toContain(id)
  })

  test('for two reasons is told as one of safety', () => {
    const { evaluation } = changedVisit((sheet) => {
      leaveOut('flow', 'no-access')(sheet)
      sheet.leftOut!.push({ reading: 'flow', run: 0, reason: 'unsafe' })
    })
    expect(evaluation.findings.find(({ id }) => id === 'flow-reading-missing')!.remedy).toContain('unsafe')
  })

  test('in another run excuses nothing', () => {
    const { evaluation } = changedVisit((sheet) => {
      sheet.runs.push(structuredClone(sheet.runs[0]!))
      leaveOut('flow', 'unsafe')(sheet)
      sheet.leftOut = [{ reading: 'flow', run: 1, reason: 'unsafe' }]
    })
    expect(graveOf(evaluation)).toContain('flow-reading-missing')
  })

  test('each has a finding that its absence raises, or a result that merely lacks it', async () => {
    const { findings } = await import('./findings/list.ts')
    const asked = new Set(findings.flatMap(({ absenceOf }) => (absenceOf === undefined ? [] : [absenceOf])))
    // Read beside the method that gives input power; nothing depends on them.
    const besides = ['voltages', 'currents', 'speed']
    expect(LEFT_OUT_READINGS.filter((reading) => !asked.has(reading))).toEqual(besides)
  })
})

describe('a run after a change of duty', () => {
  test('settles from the change, not from the start of the pump', () => {
    const { sheet, context } = goldenCase('SHEET-11')
    const evaluated = (change: (changed: Sheet) => void) => {
      const changed = structuredClone(sheet)
      change(changed)
      return evaluate(changed, context, latestEdition)
    }
    expect(idsOf(evaluated(() => {}))).not.toContain('pump-run-time-far-too-short')
    const soon = evaluated((changed) => {
      changed.runs[1]!.dutyChangedAt = '2026-05-27T08:45:00-07:00'
    })
    expect(soon.findings).toContainEqual(expect.objectContaining({ id: 'pump-run-time-far-too-short', run: 1 }))
  })
})
