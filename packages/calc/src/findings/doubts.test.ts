/** Doubts about single readings, and about runs beside one another. */
import { describe, expect, test } from 'vitest'
import { latestEdition } from '../editions/list.ts'
import { evaluate } from '../evaluate.ts'
import type { Sheet } from '../sheet.ts'
import { changedVisit, flowBy, goldenCase, goldenCases, sounded } from '../testing.ts'
import { writtenStep } from '../written-step.ts'
import { isFinerThan, isOutside } from './collect-doubts.ts'

const findingOf = (id: string, change: (sheet: Sheet) => void, base = 'SHEET-01') => {
  const { sheet, context } = goldenCase(base)
  change(sheet)
  return evaluate(sheet, context, latestEdition).findings.find((finding) => finding.id === id)
}

describe('a unit that looks mistaken', () => {
  const doubted = (change: (sheet: Sheet) => void, base?: string) => findingOf('unit-looks-mistaken', change, base)

  test.each([
    [
      'psi taken for bar',
      'SHEET-01',
      (sheet: Sheet) => {
        sheet.runs[0]!.dischargePressure!.reading.unit = 'bar'
      },
      '41.5 psi would be usual',
    ],
    [
      'millimetres taken for inches',
      'SHEET-02',
      (sheet: Sheet) => {
        flowBy(sheet.runs[0], 'ultrasonic-rate').pipe!.insideDiameters![0]!.unit = 'in'
      },
      '254.5 mm would be usual',
    ],
    [
      'gpm taken for litres a second',
      'SHEET-05',
      (sheet: Sheet) => {
        for (const rate of flowBy(sheet.runs[0], 'ultrasonic-rate').rates) rate.unit = 'L/s'
      },
      '1652 gpm would be usual',
    ],
    [
      'litres a second taken for gpm',
      'SHEET-02',
      (sheet: Sheet) => {
        for (const rate of flowBy(sheet.runs[0], 'ultrasonic-rate').rates) rate.unit = 'gpm'
      },
      '62.2 L/s would be usual',
    ],
  ] as const)('%s is held and told, never changed', (_, base, change, says) => {
    const finding = doubted(change, base)!
    expect(finding.severity).toBe('hold')
    expect(finding.message).toContain(says)
  })

  test('is not raised for a reading that is odd in every unit, nor for any golden sheet', () => {
    const odd = doubted((sheet) => {
      sheet.runs[0]!.dischargePressure!.reading.value = 1e9
    })
    expect(odd).toBeUndefined()
    for (const { sheet, context } of goldenCases())
      expect(evaluate(sheet, context, latestEdition).findings.map(({ id }) => id)).not.toContain('unit-looks-mistaken')
  })
})

describe('a reading finer than its instrument', () => {
  test.each([
    [41.5, 0.5, false],
    [41.37, 0.5, true],
    [18.4, 0.2, false],
    [18.5, 0.2, true],
    [118.4, 0.1, false],
    [118.43, 0.1, true],
    [120, 0.5, false],
    [7, 2, true],
  ])('%d on steps of %d: %s', (value, step, finer) => {
    expect(isFinerThan({ value, unit: 'psi' }, { value: step, unit: 'psi' })).toBe(finer)
    expect(isFinerThan({ value, unit: 'kPa' }, { value: step, unit: 'psi' })).toBe(false)
  })

  test('is a note that names the instrument', () => {
    const finding = findingOf('reading-finer-than-instrument', (sheet) => {
      sheet.runs[0]!.dischargePressure!.reading.value = 41.37
    })!
    expect(finding.severity).toBe('note')
    expect(finding.message).toBe(
      'The discharge pressure is written as 41.37 psi, but the instrument gauge-100 shows steps of 0.5 psi.',
    )
  })

  test.each([
    [141.73, 0.01],
    [778, 1],
    [0.1, 0.1],
    [-0.25, 0.01],
    [1.5e-7, 1e-8],
    [2e21, 1e21],
  ])('the last written digit of %d is %d', (value, step) => {
    expect(writtenStep(value) / step).toBeCloseTo(1, 12)
  })
})

describe('a reading outside the range of its instrument', () => {
  const range = { low: 20, high: 1500, unit: 'gpm' }

  test('lies beyond an end of it, the end itself included in the range', () => {
    const outside = (value: number, unit = 'gpm') => isOutside({ value, unit }, range, 'flow')
    expect([outside(19), outside(20), outside(1500), outside(1501)]).toEqual([true, false, false, true])
    expect([outside(94, 'L/s'), outside(95, 'L/s')]).toEqual([false, true])
    expect(isOutside({ value: 1e9, unit: 'psi' }, range, 'pressure')).toBe(false)
  })

  test('is held', () => {
    const { sheet, context } = goldenCase('SHEET-05')
    context.instruments.find(({ code }) => code === 'ultra-2')!.range = range
    const finding = evaluate(sheet, context, latestEdition).findings.find(
      ({ id }) => id === 'instrument-outside-its-range',
    )!
    expect(finding).toMatchObject({ severity: 'hold', run: 0 })
    expect(finding.message).toContain('certified from 20 to 1500 gpm')
  })
})

describe('runs beside one another', () => {
  const runsOf = (change: (sheet: Sheet) => void) => (id: string) => findingOf(id, change, 'SHEET-11')

  test('at several speeds are each on a curve of their own', () => {
    const raised = runsOf(() => {})
    expect(raised('runs-not-on-one-curve')).toBeUndefined()
    expect(raised('drawdown-not-following-flow')).toBeUndefined()
  })

  test('at one speed must lie on one falling curve', () => {
    const finding = runsOf((sheet) => {
      for (const run of sheet.runs) run.speeds = [{ value: 1780, unit: 'rpm' }]
    })('runs-not-on-one-curve')!
    expect(finding).toMatchObject({ severity: 'caution', place: '/runs' })
    expect(finding.message).toMatch(/^Run 2 gave 851\.8 gpm at 196\.6 ft, run 1 gave 995\.8 gpm at 235\.5 ft/)
  })

  test('at several speeds, brought to one, must lie on one curve too', () => {
    const misread = (rpm: number) =>
      runsOf((sheet) => {
        sheet.runs[1]!.speeds = [{ value: rpm, unit: 'rpm' }]
      })('runs-break-the-affinity-laws')
    expect(runsOf(() => {})('runs-break-the-affinity-laws')).toBeUndefined()
    const finding = misread(1500)!
    expect(finding).toMatchObject({ severity: 'caution', place: '/runs' })
    expect(finding.message).toContain('the head of run ')
  })

  test('that pump more draw the well down further', () => {
    const finding = runsOf((sheet) => {
      const { pumpingLevel } = sheet.runs[2]!
      sounded(pumpingLevel).reading.value = 118
      delete pumpingLevel!.series
    })('drawdown-not-following-flow')!
    expect(finding.message).toMatch(/^Run 1 pumped 995\.8 gpm with a drawdown of 20\.8 ft, run 3 pumped 688\.6 gpm/)
  })

  test('of which the normal one stands for the year', () => {
    const billed = (normalRun: number) =>
      runsOf((sheet) => {
        sheet.normalRun = normalRun
        // As much energy for an acre-foot as run 3 takes.
        sheet.economics!.annualVolume = { value: 100, unit: 'acre-ft' }
        sheet.economics!.annualEnergy = { value: 25_600, unit: 'kWh' }
        sheet.economics!.annualVolume.value = 75
      })('annual-energy-inconsistent')
    expect(billed(0)).toBeUndefined()
    expect(billed(2)).toBeDefined()
  })
})

describe('economics', () => {
  const raised = (id: string, change: (sheet: Sheet) => void) => findingOf(id, change) !== undefined

  test('without a price are a note; in cents a caution; in another currency not judged', () => {
    expect(raised('energy-rate-missing', (sheet) => delete sheet.economics)).toBe(true)
    const priced = (value: number, unit: string) => (sheet: Sheet) => {
      sheet.economics!.energyRate = { value, unit }
    }
    expect(raised('energy-rate-implausible', priced(16.2, 'USD/kWh'))).toBe(true)
    expect(raised('energy-rate-implausible', priced(16.2, 'JPY/kWh'))).toBe(false)
  })

  test('can’t hold more water or hours than a year', () => {
    expect(
      raised('annual-volume-beyond-capacity', (sheet) => {
        sheet.economics!.annualVolume = { value: 64_000, unit: 'acre-ft' }
      }),
    ).toBe(true)
    expect(
      raised('annual-hours-beyond-year', (sheet) => {
        sheet.economics!.annualHours = { value: 9000, unit: 'h' }
      }),
    ).toBe(true)
  })
})

test('a result too uncertain to report is said to be so', () => {
  const { evaluation } = changedVisit((_, context) => {
    context.instruments.find(({ code }) => code === 'gauge-100')!.accuracy!.percent = 100
    context.instruments.find(({ code }) => code === 'gauge-100')!.fullScale!.value = 4000
  })
  const finding = evaluation.findings.find(({ id }) => id === 'quantity-too-uncertain-to-report')!
  expect(finding.severity).toBe('note')
  expect(evaluation.withheld.map(({ because }) => because)).toContain('too-uncertain')
})
