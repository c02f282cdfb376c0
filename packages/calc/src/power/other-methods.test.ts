/** Power by pulses, displays, and volts and amperes; the second opinion beside a meter; the load of the motor. */
import { describe, expect, test } from 'vitest'
import type { Context } from '../context.ts'
import type { Sheet } from '../sheet.ts'
import { sheetProblems } from '../sheet-problems.ts'
import { changedVisit, contribution, goldenCase } from '../testing.ts'
import type { Electrical } from './electrical.ts'
import type { PowerReadings } from './list.ts'

const rated = (value: number) => ({ value, unit: '1' as const })
const volts = (...values: number[]) => values.map((value) => ({ value, unit: 'V' as const }))
const amperes = (...values: number[]) => values.map((value) => ({ value, unit: 'A' as const }))

const withPower = (power: PowerReadings, change: (sheet: Sheet, context: Context) => void = () => {}) =>
  changedVisit((sheet, context) => {
    sheet.runs[0]!.power = power
    delete context.plant.equipment!.meterConstant
    delete context.plant.equipment!.meterMultiplier
    change(sheet, context)
  })
type Visit = ReturnType<typeof withPower>
const kilowatts = (visit: Visit): number => visit.result('input-power').value / 1000
const ids = ({ evaluation }: Visit): string[] => evaluation.findings.map(({ id }) => id)
const relative = (visit: Visit, matching: RegExp): number =>
  contribution(visit.trace('input-power'), matching) / visit.result('input-power').value

const pulses = (more: object): PowerReadings =>
  ({
    method: 'meter-pulses',
    point: 'supply',
    multiplier: rated(40),
    timings: [40.6, 40.7, 40.6].map((elapsed) => ({
      pulses: { value: 15, unit: 'pulse' },
      elapsed: { value: elapsed, unit: 's' },
    })),
    ...more,
  }) as PowerReadings

describe('pulses of a meter', () => {
  test('by energy of a pulse or by blinks for a kilowatt-hour are the same power', () => {
    const blinks = withPower(pulses({ pulseConstant: { value: 1000, unit: 'imp/kWh' } }))
    const energy = withPower(pulses({ energyPerPulse: { value: 1, unit: 'Wh/pulse' } }))
    expect(kilowatts(blinks) / 53.158398).toBeCloseTo(1, 7)
    expect(kilowatts(energy)).toBeCloseTo(kilowatts(blinks), 10)
    expect(energy.result('input-power').standardUncertainty).toBeCloseTo(
      blinks.result('input-power').standardUncertainty,
      8,
    )
  })

  test('come from an electronic meter: half a percent, rectangular', () => {
    const visit = withPower(pulses({ pulseConstant: { value: 1000, unit: 'imp/kWh' } }))
    expect(relative(visit, /#meter-class-electronic$/)).toBeCloseTo(0.005 / Math.sqrt(3), 12)
    expect(relative(visit, /#meter-class-mechanical$/)).toBe(0)
  })

  test('without a constant or a multiplier give no power', () => {
    expect(ids(withPower(pulses({})))).toContain('meter-constant-missing')
    const { multiplier: _, ...bare } = pulses({ pulseConstant: { value: 1000, unit: 'imp/kWh' } }) as Extract<
      PowerReadings,
      { method: 'meter-pulses' }
    >
    expect(ids(withPower(bare))).toContain('meter-multiplier-not-stated')
  })

  test('are judged like revolutions: count, length, spread, record', () => {
    const short = pulses({
      pulseConstant: { value: 1000, unit: 'imp/kWh' },
      timings: [9, 10].map((elapsed) => ({
        pulses: { value: 4, unit: 'pulse' },
        elapsed: { value: elapsed, unit: 's' },
      })),
    })
    const visit = withPower(short, (_, context) => {
      context.plant.equipment!.meterPulseConstant = { value: 800, unit: 'imp/kWh' }
      context.plant.equipment!.meterMultiplier = 40
    })
    expect(ids(visit)).toEqual(
      expect.arrayContaining([
        'meter-timings-too-few',
        'meter-timing-too-short',
        'meter-timing-spread-very-wide',
        'multiplier-differs-from-record',
      ]),
    )
    expect(ids(visit)).not.toContain('meter-revolutions-too-few')
    expect(ids(visit)).not.toContain('meter-constant-unusual')
  })

  test('have one constant, not two', () => {
    const { sheet } = goldenCase('SHEET-05')
    sheet.runs[0]!.power = pulses({
      pulseConstant: { value: 1000, unit: 'imp/kWh' },
      energyPerPulse: { value: 1, unit: 'Wh/pulse' },
    })
    expect(sheetProblems(sheet).map(({ pointer }) => pointer)).toEqual(['/runs/0/power/pulseConstant'])
  })
})

describe('a display of kilowatts', () => {
  const display = (more: object): PowerReadings =>
    ({
      method: 'meter-display',
      point: 'supply',
      multiplier: rated(2),
      readings: [38, 39, 38.5].map((value) => ({ value, unit: 'kW' })),
      ...more,
    }) as PowerReadings

  test('is the mean of its readings times the multiplier', () => {
    const visit = withPower(display({}))
    expect(kilowatts(visit)).toBeCloseTo(77, 10)
    expect(visit.result('timing-spread').value).toBeCloseTo(1 / 38.5, 12)
    expect(ids(visit)).not.toContain('meter-timings-too-few')
  })

  test('behind a drive is brought to the supply by the efficiency of the drive', () => {
    const usual = withPower(display({ point: 'drive-output' }))
    expect(kilowatts(usual)).toBeCloseTo(77 / 0.97, 10)
    expect(relative(usual, /#drive-efficiency$/)).toBeCloseTo(0.015 / Math.sqrt(3) / 0.97, 10)
    expect(ids(usual)).toContain('drive-output-measured')
    const recorded = withPower(display({ point: 'drive-output' }), (_, context) => {
      context.plant.equipment!.driveEfficiency = 0.95
    })
    expect(kilowatts(recorded)).toBeCloseTo(77 / 0.95, 10)
  })
})

describe('volts and amperes', () => {
  // The water of SHEET-01 would be too much for so small a motor.
  const withoutFlow = (sheet: Sheet) => {
    delete sheet.runs[0]!.flow
  }
  const clamp = (more: object = {}): PowerReadings =>
    ({
      method: 'volts-amps',
      point: 'supply',
      phases: 'three',
      voltages: volts(478, 480, 481),
      currents: amperes(44.3, 45.4, 45.2),
      powerFactor: rated(0.85),
      otherLoads: 'none',
      ...more,
    }) as PowerReadings

  test('of three phases give the power of SHEET-03 of the field sheets', () => {
    const visit = withPower(clamp(), withoutFlow)
    expect(kilowatts(visit) / 31.75483).toBeCloseTo(1, 7)
    expect(visit.result('panel-power').value).toBe(visit.result('input-power').value)
  })

  test('of one phase are volts times amperes times power factor', () => {
    const visit = withPower(clamp({ phases: 'single', voltages: volts(240), currents: amperes(60) }), withoutFlow)
    expect(kilowatts(visit)).toBeCloseTo(0.24 * 60 * 0.85, 12)
  })

  test('are good to 1, 1.5 and 2 percent, each one error for all lines', () => {
    const visit = withPower(clamp(), withoutFlow)
    expect(relative(visit, /#panel-voltage$/)).toBeCloseTo(0.01, 12)
    expect(relative(visit, /#panel-current$/)).toBeCloseTo(0.015, 12)
    expect(relative(visit, /#panel-power-factor$/)).toBeCloseTo(0.02, 12)
  })

  test('say how evenly the lines are loaded; a scale error does not touch that', () => {
    const visit = withPower(clamp({ voltages: volts(460, 467, 450) }))
    expect(visit.result('voltage-unbalance').value).toBeCloseTo(9 / 459, 12)
    expect(contribution(visit.trace('voltage-unbalance'), /#panel-voltage$/)).toBe(0)
    expect(ids(visit)).toContain('voltage-unbalance-high')
    const extreme = withPower(clamp({ voltages: volts(460, 480, 400) }))
    expect(ids(extreme)).toContain('voltage-unbalance-extreme')
    expect(ids(extreme)).not.toContain('voltage-unbalance-high')
    expect(ids(withPower(clamp({ currents: amperes(60, 30, 45) })))).toContain('current-unbalance-high')
  })

  test('without a power factor give no power; with a wrong one it is not reported', () => {
    const { powerFactor: _, ...bare } = clamp() as Extract<PowerReadings, { method: 'volts-amps' }>
    expect(ids(withPower(bare))).toContain('power-factor-missing')
    const percent = withPower(clamp({ powerFactor: rated(85) }))
    expect(ids(percent)).toContain('power-factor-above-one')
    expect(() => percent.result('input-power')).toThrow()
    expect(() => percent.result('overall-plant-efficiency')).toThrow()
    expect(ids(withPower(clamp({ powerFactor: rated(0.99) })))).toContain('power-factor-unusual')
  })

  test('read on two lines only are told', () => {
    expect(ids(withPower(clamp({ currents: amperes(45, 46) })))).toContain('lines-not-all-read')
  })

  test('far from the nameplate are told', () => {
    const visit = withPower(clamp(), (_, context) => {
      context.plant.equipment!.ratedVoltage = { value: 575, unit: 'V' }
    })
    expect(ids(visit)).toContain('voltage-far-from-nameplate')
  })

  test('improved first from outside: advice names qualified staff and offers the meter', () => {
    const { advice } = withPower(clamp({ currents: amperes(108, 109, 108) })).evaluation
    const panel = advice.filter(({ label }) => /clamp|voltage|current/i.test(label))
    expect(panel.length).toBeGreaterThan(0)
    for (const line of panel)
      expect(line).toMatchObject({ needsQualifiedStaff: true, offerFirst: 'time-utility-meter' })
    for (const line of changedVisit().evaluation.advice) expect(line).not.toHaveProperty('needsQualifiedStaff')
  })

  test('of a single phase have one voltage and one current', () => {
    const { sheet } = goldenCase('SHEET-01')
    sheet.runs[0]!.power = clamp({ phases: 'single' })
    expect(sheetProblems(sheet).map(({ pointer }) => pointer)).toEqual([
      '/runs/0/power/voltages',
      '/runs/0/power/currents',
    ])
  })
})

describe('a second opinion beside the meter', () => {
  const beside = (
    current: number,
    change: (electrical: Electrical, sheet: Sheet, context: Context) => void = () => {},
  ) =>
    changedVisit((sheet, context) => {
      const electrical: Electrical = {
        point: 'supply',
        phases: 'three',
        voltages: volts(478, 480, 481),
        currents: amperes(current, current, current),
        powerFactor: rated(0.86),
      }
      sheet.runs[0]!.electrical = electrical
      change(electrical, sheet, context)
    })

  test('gives a power with its interval, and moves nothing else', () => {
    const visit = beside(108)
    const { result } = visit
    expect(result('panel-power').value / 1000).toBeCloseTo((Math.sqrt(3) * 479.6667 * 108 * 0.86) / 1000, 3)
    expect(result('panel-power').expandedUncertainty / result('panel-power').value).toBeCloseTo(
      1.96 * Math.hypot(0.01, 0.015, 0.02),
      3,
    )
    const alone = changedVisit()
    for (const quantity of ['input-power', 'overall-plant-efficiency', 'energy-per-volume'] as const)
      expect(result(quantity)).toEqual(alone.result(quantity))
    expect(ids(visit)).not.toContain('meter-and-panel-disagree')
    expect(visit.evaluation.soundness).toBe('sound')
  })

  test('that differs by more than both are uncertain is for a person to judge', () => {
    expect(ids(beside(140))).toContain('meter-and-panel-disagree')
    expect(beside(140).evaluation.soundness).toBe('in-question')
  })

  test('with a power factor of percent spoils itself only', () => {
    const visit = beside(108, (electrical) => {
      electrical.powerFactor = rated(86)
    })
    expect(ids(visit)).toContain('power-factor-above-one')
    expect(ids(visit)).not.toContain('meter-and-panel-disagree')
    expect(() => visit.result('panel-power')).toThrow()
    expect(visit.result('overall-plant-efficiency').value).toBeCloseTo(0.67343026, 6)
  })

  test('without a power factor still shows the balance of the lines', () => {
    const visit = beside(108, (electrical) => {
      delete electrical.powerFactor
    })
    expect(() => visit.result('panel-power')).toThrow()
    expect(visit.result('voltage-unbalance').value).toBeGreaterThan(0)
    expect(visit.evaluation.soundness).toBe('sound')
  })

  test('shows a frequency or speed that was not held', () => {
    const visit = beside(108, (electrical) => {
      electrical.frequencies = [60, 58.9].map((value) => ({ value, unit: 'Hz' as const }))
    })
    expect(ids(visit)).toContain('runs-at-different-speed-mixed')
  })

  test('a motor without a drive does not reach its synchronous speed', () => {
    const at = (rpm: number, drive: 'none' | 'variable-frequency') =>
      beside(108, (_, sheet, context) => {
        Object.assign(context.plant.equipment!, {
          synchronousSpeed: { value: 1800, unit: 'rpm' },
          coupling: 'direct',
          drive,
        })
        sheet.runs[0]!.speeds = [{ value: rpm, unit: 'rpm' }]
      })
    expect(ids(at(1775, 'none'))).not.toContain('speed-above-synchronous')
    expect(ids(at(1800, 'none'))).toContain('speed-above-synchronous')
    expect(ids(at(1850, 'variable-frequency'))).not.toContain('speed-above-synchronous')
  })
})

describe('the load of the motor', () => {
  test('is input power times nameplate efficiency over rated power', () => {
    const load = changedVisit().result('motor-load')
    expect(load.value).toBeCloseTo((77.605254 * 0.945) / 74.5699872, 6)
    expect(contribution(changedVisit().trace('motor-load'), /#motor-losses$/)).toBeCloseTo(
      ((0.2 * 0.055) / Math.sqrt(3)) * (77.605254 / 74.5699872),
      6,
    )
  })

  test('is less by the loss of a drive', () => {
    const visit = changedVisit((_, { plant }) => {
      Object.assign(plant.equipment!, { drive: 'variable-frequency', driveEfficiency: 0.96 })
    })
    expect(visit.result('motor-load').value).toBeCloseTo((77.605254 * 0.96 * 0.945) / 74.5699872, 6)
  })

  test('is not there without nameplate, or for an engine', () => {
    for (const change of [
      (context: Context) => delete context.plant.equipment!.ratedPower,
      (context: Context) => delete context.plant.equipment!.motorEfficiency,
      (context: Context) => {
        context.plant.equipment!.driver = 'engine'
      },
    ])
      expect(() => changedVisit((_, context) => void change(context)).result('motor-load')).toThrow()
  })

  test('in its trace points to the record of the plant', () => {
    const records = changedVisit()
      .trace('motor-load')
      .nodes.filter(({ id }) => id === 'record')
    expect(records.map(({ reading }) => reading!.place).sort()).toEqual([
      'plant/equipment/motorEfficiency',
      'plant/equipment/ratedPower',
    ])
  })
})
