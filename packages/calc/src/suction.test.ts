/** The suction side of a booster: between two gauges, or over an open surface. */
import { describe, expect, test } from 'vitest'
import { latestEdition } from './editions/list.ts'
import { evaluate } from './evaluate.ts'
import type { Result } from './evaluation.ts'
import type { QuantityId } from './quantities.ts'
import { sheetProblems } from './sheet-problems.ts'
import { contribution, type GoldenCase, goldenCase } from './testing.ts'
import { traceQuantity } from './trace.ts'

function booster(id: 'SHEET-04' | 'SHEET-05', change: (golden: GoldenCase) => void = () => {}) {
  const golden = goldenCase(id)
  change(golden)
  const evaluation = evaluate(golden.sheet, golden.context, latestEdition)
  return {
    evaluation,
    ids: evaluation.findings.map((finding) => finding.id),
    result: (quantity: QuantityId): Result | undefined =>
      evaluation.results.find((result) => result.quantity === quantity),
    trace: (quantity: QuantityId) => traceQuantity(golden.sheet, golden.context, latestEdition, { quantity, run: 0 })!,
  }
}

const gaugeOf = ({ sheet }: GoldenCase) => {
  const suction = sheet.runs[0]!.suction!
  if (suction.method !== 'gauge') throw new Error('no gauge')
  return suction
}
const surfaceOf = ({ sheet }: GoldenCase) => {
  const suction = sheet.runs[0]!.suction!
  if (suction.method !== 'open-surface') throw new Error('no open surface')
  return suction
}

const FOOT = 0.3048

describe('a booster over an open surface', () => {
  test('lifts by as much as the surface lies below the discharge centre', () => {
    const { result } = booster('SHEET-04')
    expect(result('lift')!.value / FOOT).toBeCloseTo(9.4, 12)
    expect(result('suction-head')!.value / FOOT).toBeCloseTo(-9.4, 12)
    expect(result('suction-velocity-head')).toBeUndefined()
  })

  test('is flooded where the surface lies higher: the lift is negative', () => {
    const before = booster('SHEET-04').result('total-dynamic-head')!.value
    const { result, evaluation } = booster('SHEET-04', (golden) => {
      surfaceOf(golden).waterSurfaceAboveDischargeCentre.value = 3
      delete surfaceOf(golden).vacuumCheck
    })
    expect(result('lift')!.value / FOOT).toBeCloseTo(-3, 12)
    expect((before - result('total-dynamic-head')!.value) / FOOT).toBeCloseTo(12.4, 10)
    expect(evaluation.soundness).toBe('sound')
  })

  test('the vacuum gauge is a check only: it moves no result', () => {
    const with_ = booster('SHEET-04').evaluation
    const without = booster('SHEET-04', (golden) => {
      delete surfaceOf(golden).vacuumCheck
    }).evaluation
    expect(without.results).toEqual(with_.results)
  })

  test('a vacuum gauge that can’t be is told', () => {
    const at = (inHg: number) =>
      booster('SHEET-04', (golden) => {
        surfaceOf(golden).vacuumCheck!.reading.value = inHg
      }).ids
    expect(at(-10.6)).not.toContain('suction-gauge-disagrees-with-surface')
    expect(at(-4)).toContain('suction-gauge-disagrees-with-surface')
    expect(at(-20)).toContain('suction-gauge-disagrees-with-surface')
    expect(at(-31)).toContain('suction-below-vacuum')
  })
})

describe('a booster between two gauges', () => {
  test('is credited with the difference of the velocity heads only', () => {
    const { result } = booster('SHEET-05')
    const gained = result('velocity-head')!.value - result('suction-velocity-head')!.value
    expect(result('total-dynamic-head')!.value - result('field-head')!.value).toBeCloseTo(gained, 12)
    expect(result('lift')).toBeUndefined()
  })

  test('a vacuum is a negative pressure and adds to the head', () => {
    const zero = booster('SHEET-05', (golden) => {
      gaugeOf(golden).reading.value = 0
    }).result('field-head')!.value
    const vacuum = booster('SHEET-05', (golden) => {
      Object.assign(gaugeOf(golden).reading, { value: -10, unit: 'inHg' })
    }).result('field-head')!.value
    expect((vacuum - zero) / FOOT).toBeCloseTo(11.34, 1)
  })

  test('without the diameter at the suction tap total head is left out, not guessed', () => {
    const { result, ids, evaluation } = booster('SHEET-05', (golden) => {
      delete gaugeOf(golden).insideDiameterAtTap
    })
    expect(result('total-dynamic-head')).toBeUndefined()
    expect(result('overall-plant-efficiency-on-field-head')!.value).toBeCloseTo(0.71203716, 6)
    expect(ids).toContain('tap-diameter-missing')
    expect(evaluation.soundness).toBe('sound')
  })

  test('with one gauge for both sides its error cancels; with two it does not', () => {
    const accuracyOf = (change: (golden: GoldenCase) => void) =>
      contribution(booster('SHEET-05', change).trace('field-head'), /#gauge-accuracy$/)
    const two = accuracyOf(() => {})
    const one = accuracyOf(({ sheet }) => {
      sheet.instruments!.suctionPressure = sheet.instruments!.pressure!
    })
    expect(two).toBeGreaterThan(0.3)
    expect(one).toBeLessThan(1e-12)
  })

  test('two gauges that are not named are two gauges', () => {
    const { ids, trace } = booster('SHEET-05', ({ sheet }) => {
      delete sheet.instruments!.pressure
      delete sheet.instruments!.suctionPressure
    })
    const accuracies = trace('field-head').components.filter(({ id }) => id.endsWith('#gauge-accuracy'))
    expect(accuracies.map(({ place }) => place)).toEqual(['edition/gauge-accuracy', 'edition/gauge-accuracy/suction'])
    expect(ids).toContain('instrument-not-named')
  })

  test('gauges exchanged add no head', () => {
    const { ids, evaluation } = booster('SHEET-05', (golden) => {
      gaugeOf(golden).reading.value = 71
      golden.sheet.runs[0]!.dischargePressure!.reading.value = 18.4
    })
    expect(ids).toContain('booster-adds-no-head')
    expect(evaluation.soundness).toBe('unsound')
  })
})

describe('a booster without a suction reading', () => {
  test('is unsound; left out for safety it is sound without head', () => {
    const without = booster('SHEET-05', ({ sheet }) => {
      delete sheet.runs[0]!.suction
    })
    expect(without.evaluation.soundness).toBe('unsound')
    expect(without.ids).toContain('suction-reading-missing')
    const unsafe = booster('SHEET-05', ({ sheet }) => {
      delete sheet.runs[0]!.suction
      sheet.leftOut = [{ reading: 'suction', reason: 'unsafe' }]
    })
    expect(unsafe.evaluation.soundness).toBe('sound')
    expect(unsafe.result('total-dynamic-head')).toBeUndefined()
    expect(unsafe.result('energy-per-volume')).toBeDefined()
  })

  test('levels belong to a well, a suction side to a booster', () => {
    const { sheet } = goldenCase('SHEET-05')
    sheet.dischargeCentreAboveDatum = { value: 1, unit: 'ft' }
    sheet.standingLevel = { method: 'electric-sounder', reading: { value: 10, unit: 'ft' } }
    expect(sheetProblems(sheet).map(({ pointer }) => pointer)).toEqual(['/standingLevel', '/dischargeCentreAboveDatum'])
    const well = goldenCase('SHEET-01').sheet
    well.runs[0]!.suction = sheet.runs[0]!.suction!
    expect(sheetProblems(well).map(({ pointer }) => pointer)).toEqual(['/runs/0/suction'])
  })
})
