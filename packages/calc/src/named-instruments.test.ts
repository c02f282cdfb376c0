import { describe, expect, test } from 'vitest'
import { instrumentOfReading } from './named-instruments.ts'
import { goldenCase } from './testing.ts'
import { boosterOverPond } from './testing-visits.ts'

describe('the instrument that a reading was made with', () => {
  const { sheet } = goldenCase('SHEET-01')

  test.each([
    ['/runs/0/flow/diameters/1/points/2', 'pitot-1'],
    ['/runs/0/flow/tube/coefficient', 'pitot-1'],
    ['/runs/0/dischargePressure/reading', 'gauge-100'],
    ['/runs/0/dischargePressure/gaugeZero', 'gauge-100'],
    ['/standingLevel/reading', 'sounder-a'],
    ['/runs/0/pumpingLevel/reading', 'sounder-a'],
    ['/runs/0/power/timings/2/elapsed', 'watch-1'],
    // Counted by eye, measured by tape, told by the meter, or with an instrument that the sheet does not name.
    ['/runs/0/power/timings/2/revolutions', undefined],
    ['/runs/0/dischargePressure/gaugeHeightAboveDischargeCentre', undefined],
    ['/runs/0/flow/pipe/insideDiameters/0', undefined],
    ['/runs/0/power/kh', undefined],
    ['/runs/0/waterTemperature', undefined],
    ['/nothing/there', undefined],
  ])('%s: %s', (pointer, code) => {
    expect(instrumentOfReading(sheet, pointer)).toBe(code)
  })

  test('is the one that the reading itself names, before that of its use', () => {
    const named = structuredClone(sheet)
    named.runs[0]!.dischargePressure!.reading!.instrument = 'gauge-60'
    expect(instrumentOfReading(named, '/runs/0/dischargePressure/reading')).toBe('gauge-60')
    expect(instrumentOfReading(named, '/runs/0/pumpingLevel/reading')).toBe('sounder-a')
  })

  test('is the one that the method names, before that of its use', () => {
    const booster = boosterOverPond().sheet
    expect(instrumentOfReading(booster, '/runs/0/flow/rates/0')).toBe('insertion-1')
    const pitot = structuredClone(sheet)
    const flow = pitot.runs[0]!.flow!
    if (flow.method === 'pitot-traverse') flow.tube.instrument = 'pitot-2'
    expect(instrumentOfReading(pitot, '/runs/0/flow/diameters/0/points/0')).toBe('pitot-2')
  })

  test('is none on a sheet that names none', () => {
    const { instruments: _, ...nameless } = sheet
    expect(instrumentOfReading(nameless, '/runs/0/dischargePressure/reading')).toBeUndefined()
  })
})
