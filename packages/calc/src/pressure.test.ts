import { describe, expect, test } from 'vitest'
import type { Context } from './context.ts'
import { latestEdition } from './editions/list.ts'
import type { Sheet } from './sheet.ts'
import { changedVisit, contribution } from './testing.ts'
import { fromSi, toSi } from './units.ts'

type Pressure = NonNullable<Sheet['runs'][number]['dischargePressure']>
const psi = (value: number) => ({ value, unit: 'psi' as const })
const feet = (value: number) => ({ value, unit: 'ft' as const })
const withPressure = (change: (pressure: Pressure, context: Context) => void) =>
  changedVisit((sheet, context) => change(sheet.runs[0]!.dischargePressure!, context))
const headFeet = (visit: ReturnType<typeof withPressure>) =>
  fromSi(visit.result('total-dynamic-head').value, 'ft', 'length')
/** Standard uncertainty of the gauge head from one cause, as pressure in psi. */
function ofGauge(visit: ReturnType<typeof withPressure>, cause: RegExp): number {
  const trace = visit.trace('gauge-head')
  const slope = trace.nodes.find(({ id }) => id === 'pressure-head')!.inputs.find(({ name }) => name === 'pressure')!
  return fromSi(contribution(trace, cause) / trace.nodes[slope.node]!.sensitivity, 'psi', 'pressure')
}

describe('the discharge pressure', () => {
  const usual = changedVisit()

  test('5 psi more are 11.5 ft more of total dynamic head', () => {
    const raised = withPressure((pressure) => {
      pressure.reading.value += 5
    })
    expect(Math.abs(headFeet(raised) - headFeet(usual) - 11.5)).toBeLessThan(0.1)
    expect(raised.result('overall-plant-efficiency').value).toBeGreaterThan(
      usual.result('overall-plant-efficiency').value,
    )
  })

  test('what the gauge shows when vented is subtracted, also when it is below zero', () => {
    for (const zero of [2, -2]) {
      const vented = withPressure((pressure) => {
        pressure.gaugeZero = psi(zero)
      })
      const corrected = withPressure((pressure) => {
        pressure.reading.value -= zero
      })
      expect(headFeet(vented)).toBeCloseTo(headFeet(corrected), 10)
    }
  })

  test('a gauge above the pipe reads too little by its height, one below too much', () => {
    const height = (value: number) =>
      withPressure((pressure) => {
        pressure.gaugeHeightAboveDischargeCentre = feet(value)
      })
    expect(headFeet(height(3)) - headFeet(height(-1))).toBeCloseTo(4, 10)
  })

  test('accuracy on record is a share of full scale, or of the reading where it says so', () => {
    expect(ofGauge(usual, /gauge-accuracy/)).toBeCloseTo((0.01 * 100) / Math.sqrt(3), 10)
    const ofReading = withPressure((_, { instruments }) => {
      instruments.find(({ code }) => code === 'gauge-100')!.accuracy = { percent: 1, of: 'reading', stated: 'limit' }
    })
    expect(ofGauge(ofReading, /gauge-accuracy/)).toBeCloseTo((0.01 * 41.5) / Math.sqrt(3), 10)
  })

  test('without a full scale on record, the range ends the scale: of a vacuum gauge at its lower end', () => {
    const ranged = (low: number, high: number) =>
      withPressure((_, { instruments }) => {
        const gauge = instruments.find(({ code }) => code === 'gauge-100')!
        delete gauge.fullScale
        gauge.range = { low, high, unit: 'psi' }
      })
    expect(ofGauge(ranged(0, 160), /gauge-accuracy/)).toBeCloseTo((0.01 * 160) / Math.sqrt(3), 10)
    expect(ofGauge(ranged(-300, 200), /gauge-accuracy/)).toBeCloseTo((0.01 * 300) / Math.sqrt(3), 10)
  })

  test('a full scale on record counts before the range, and one in a unit of something else not at all', () => {
    const both = withPressure((_, { instruments }) => {
      instruments.find(({ code }) => code === 'gauge-100')!.range = { low: 20, high: 80, unit: 'psi' }
    })
    expect(ofGauge(both, /gauge-accuracy/)).toBeCloseTo((0.01 * 100) / Math.sqrt(3), 10)
    const foreign = withPressure((_, { instruments }) => {
      const gauge = instruments.find(({ code }) => code === 'gauge-100')!
      delete gauge.fullScale
      gauge.range = { low: 0, high: 160, unit: 'ft' }
    })
    const assumed = 41.5 * latestEdition.settings.assumedScalePerReading
    expect(ofGauge(foreign, /gauge-accuracy/)).toBeCloseTo((0.01 * assumed) / Math.sqrt(3), 10)
  })

  test('a gauge that is not on record is taken as read in mid-scale, of class 1.0', () => {
    const unknown = changedVisit((sheet) => {
      delete sheet.instruments!.pressure
    })
    const fullScale = 41.5 * latestEdition.settings.assumedScalePerReading
    expect(ofGauge(unknown, /gauge-accuracy/)).toBeCloseTo((0.01 * fullScale) / Math.sqrt(3), 10)
    expect(ofGauge(unknown, /gauge-resolution/)).toBeCloseTo((0.01 * fullScale) / Math.sqrt(12), 10)
  })

  test('a gauge near zero is still taken to have a scale', () => {
    const visit = changedVisit((sheet) => {
      delete sheet.instruments!.pressure
      sheet.runs[0]!.dischargePressure!.reading.value = 0
    })
    const least = fromSi(latestEdition.settings.leastAssumedScalePa, 'psi', 'pressure')
    expect(ofGauge(visit, /gauge-accuracy/)).toBeCloseTo((0.01 * least) / Math.sqrt(3), 10)
  })

  test('a zero that was not read is one percent of full scale more, as rectangular half-width', () => {
    const unread = withPressure((pressure) => {
      delete pressure.gaugeZero
    })
    expect(ofGauge(unread, /gauge-zero-not-read/)).toBeCloseTo(1 / Math.sqrt(3), 10)
    expect(ofGauge(usual, /gauge-zero-not-read/)).toBe(0)
  })

  test('steps and swing: a step over √12, half a swing over √3', () => {
    expect(ofGauge(usual, /gauge-step/)).toBeCloseTo(0.5 / Math.sqrt(12), 10)
    expect(ofGauge(usual, /pressure-swing/)).toBeCloseTo(0.25 / Math.sqrt(3), 10)
  })

  test('a discharge open to the air is no pressure, and none is uncertain', () => {
    const open = changedVisit((sheet) => {
      delete sheet.runs[0]!.dischargePressure
      sheet.runs[0]!.dischargeOpen = true
    })
    expect(open.result('gauge-head').value).toBe(0)
    const relative = open.result('gauge-head').standardUncertainty
    expect(relative).toBe(0)
    expect(headFeet(open)).toBeCloseTo(143.9 + fromSi(open.result('velocity-head').value, 'ft', 'length'), 10)
  })

  test('neither read nor open, there is no head and no efficiency', () => {
    const { evaluation } = changedVisit((sheet) => {
      delete sheet.runs[0]!.dischargePressure
    })
    const given = evaluation.results.map(({ quantity }) => quantity)
    expect(given).not.toContain('total-dynamic-head')
    expect(given).not.toContain('overall-plant-efficiency')
    expect(given).toContain('energy-per-volume')
  })

  test('the pipe at the tap may be another: velocity head by its own diameter', () => {
    const visit = withPressure((pressure) => {
      pressure.insideDiameterAtTap = { value: 8.02, unit: 'in' }
    })
    const diameter = toSi({ value: 8.02, unit: 'in' }, 'length')
    const velocity = visit.result('flow').value / ((Math.PI * diameter * diameter) / 4)
    expect(visit.result('velocity-head').value).toBeCloseTo((velocity * velocity) / (2 * 9.80665), 12)
    expect(visit.result('flow').value).toBe(usual.result('flow').value)
  })
})
