/** Flow by meters, registers and logarithmic traverses. */
import { describe, expect, test } from 'vitest'
import type { Context } from '../context.ts'
import type { Sheet } from '../sheet.ts'
import { sheetProblems } from '../sheet-problems.ts'
import { changedVisit, contribution, goldenCase } from '../testing.ts'
import { fromSi, toSi } from '../units.ts'
import type { FlowReadings } from './flow-of-run.ts'

const inches = (value: number) => ({ value, unit: 'in' as const })
const gpm = (...values: number[]) => values.map((value) => ({ value, unit: 'gpm' as const }))
const rated = (value: number) => ({ value, unit: '1' as const })
const PIPE = { insideDiameters: [inches(10)], diameterBasis: 'measured' as const }

/** SHEET-01 with its flow read by other means, and no instrument named for it. */
const withFlow = (flow: FlowReadings, change: (sheet: Sheet, context: Context) => void = () => {}) =>
  changedVisit((sheet, context) => {
    delete sheet.instruments!.flow
    sheet.runs[0]!.flow = flow
    change(sheet, context)
  })
type Visit = ReturnType<typeof withFlow>
const flowIn = (visit: Visit, unit: string): number => fromSi(visit.result('flow').value, unit, 'flow')
const ids = ({ evaluation }: Visit): string[] => evaluation.findings.map(({ id }) => id)
const relative = (visit: Visit, matching: RegExp): number =>
  contribution(visit.trace('flow'), matching) / visit.result('flow').value

describe('rates of a meter', () => {
  const rates = (...values: number[]): FlowReadings => ({ method: 'meter-rate', pipe: PIPE, rates: gpm(...values) })

  test('give their mean, times the factor of the certificate', () => {
    expect(flowIn(withFlow(rates(778, 783, 781, 776)), 'gpm')).toBeCloseTo(779.5, 9)
    const corrected = withFlow({ ...rates(780, 780), correctionFactor: rated(0.98) } as FlowReadings)
    expect(flowIn(corrected, 'gpm')).toBeCloseTo(764.4, 9)
  })

  test('the scale is 2 % with a certificate, 4 % without, and one error for all rates', () => {
    expect(relative(withFlow(rates(778, 783, 781)), /#flow-meter$/)).toBeCloseTo(0.04, 12)
    const certified = withFlow(rates(778, 783, 781), (sheet, context) => {
      sheet.instruments!.flow = 'prop-1'
      const certificate = { number: 'C9', validFrom: '2025-01-01', validUntil: '2027-01-01' }
      context.instruments.push({ code: 'prop-1', kind: 'propeller-meter', certificate })
    })
    expect(relative(certified, /#flow-meter-certified$/)).toBeCloseTo(0.02, 12)
  })

  test('an accuracy on record comes first, of the reading or of the range', () => {
    const recorded = (of: 'reading' | 'full-scale') =>
      withFlow(rates(800, 800, 800), (sheet, context) => {
        sheet.instruments!.flow = 'mag-1'
        context.instruments.push({
          code: 'mag-1',
          kind: 'magnetic-meter',
          accuracy: { percent: 1, of, stated: 'interval-95' },
          range: { low: 0, high: 1600, unit: 'gpm' },
        })
      })
    const normal95 = 1.959963984540054
    expect(relative(recorded('reading'), /#flow-meter-accuracy$/)).toBeCloseTo(0.01 / normal95, 12)
    expect(relative(recorded('full-scale'), /#flow-meter-accuracy$/)).toBeCloseTo(0.02 / normal95, 12)
  })

  test('their scatter replaces the step of the display where it is larger', () => {
    const steady = withFlow(rates(780, 780, 780))
    expect(relative(steady, /#rate-step$/)).toBeCloseTo(0.01 / Math.sqrt(12), 12)
    expect(contribution(steady.trace('flow'), /scatter/)).toBe(0)
    const scattered = withFlow(rates(760, 780, 800))
    const u = toSi({ value: 20 / Math.sqrt(3), unit: 'gpm' }, 'flow')
    expect(contribution(scattered.trace('flow'), /#rate-scatter$/)).toBeCloseTo(u, 12)
    expect(contribution(scattered.trace('flow'), /#rate-step$/)).toBe(0)
  })

  test('none is no flow, and a flow backwards is none of a plant that runs', () => {
    expect(ids(withFlow(rates()))).toContain('flow-reading-missing')
    const backwards = withFlow(rates(-780, -781))
    expect(ids(backwards)).toContain('flow-not-above-zero')
    expect(backwards.evaluation.soundness).toBe('unsound')
  })

  test('without a pipe give flow and the efficiency without velocity head', () => {
    const visit = withFlow({ method: 'meter-rate', rates: gpm(1150, 1150, 1150) })
    expect(ids(visit)).toContain('tap-diameter-missing')
    expect(visit.result('overall-plant-efficiency-on-field-head').value).toBeGreaterThan(0.6)
    expect(visit.evaluation.withheld).toContainEqual({
      run: 0,
      quantity: 'total-dynamic-head',
      because: 'reading-missing',
    })
  })

  test('a short straight run widens them as it does a traverse', () => {
    const short = withFlow({
      method: 'meter-rate',
      pipe: { ...PIPE, straightUpstream: inches(50) },
      rates: gpm(780, 780),
    })
    // Five of the eight diameters asked: two quarters are missing.
    expect(relative(short, /#short-straight-run$/)).toBeCloseTo(0.01, 12)
    expect(ids(short)).toContain('straight-run-short-upstream')
  })

  test('water that leaves before the meter is added', () => {
    const visit = withFlow(rates(780, 780), (sheet) => {
      sheet.runs[0]!.flowLeavingBeforeMeter = { value: 20, unit: 'gpm' }
    })
    expect(flowIn(visit, 'gpm')).toBeCloseTo(800, 9)
    expect(contribution(visit.trace('flow'), /#flow-leaving$/)).toBeCloseTo(toSi({ value: 2, unit: 'gpm' }, 'flow'), 12)
  })
})

describe('a clamp-on meter', () => {
  const clampOn = (more: object): FlowReadings =>
    ({ method: 'ultrasonic-rate', pipe: PIPE, rates: gpm(1150, 1152, 1148), ...more }) as FlowReadings

  test('is as good as the pipe it knows and the signal it gets', () => {
    expect(relative(withFlow(clampOn({})), /#clamp-on-meter$/)).toBeCloseTo(0.02, 12)
    const fromTable = { pipe: { ...PIPE, diameterBasis: 'pipe-table' } }
    expect(relative(withFlow(clampOn(fromTable)), /#clamp-on-meter-doubtful$/)).toBeCloseTo(0.03, 12)
    const weak = withFlow(clampOn({ signalShare: { value: 45, unit: '%' } }))
    expect(relative(weak, /#clamp-on-meter-doubtful$/)).toBeCloseTo(0.03, 12)
    expect(ids(weak)).toContain('ultrasonic-signal-weak')
  })

  test('set to another pipe is not corrected but asked again', () => {
    const visit = withFlow(clampOn({ deviceDiameter: inches(10.4) }))
    expect(ids(visit)).toContain('ultrasonic-pipe-setting-differs')
    expect(flowIn(visit, 'gpm')).toBeCloseTo(1150, 9)
  })

  test('may show the velocity only: flow is velocity times area', () => {
    const visit = withFlow({
      method: 'ultrasonic-velocity',
      pipe: PIPE,
      velocities: [{ value: 4, unit: 'ft/s' }],
    })
    // Q in gpm is 2.448 d² v (d in inches, v in ft/s).
    expect(flowIn(visit, 'gpm')).toBeCloseTo(2.447984 * 100 * 4, 2)
  })
})

describe('an insertion meter', () => {
  const insertion = (more: object): FlowReadings =>
    ({
      method: 'insertion-velocity',
      pipe: PIPE,
      velocities: [{ value: 5, unit: 'ft/s' }],
      profileFactor: rated(0.83),
      ...more,
    }) as FlowReadings

  test('gives velocity times profile factor times area', () => {
    expect(flowIn(withFlow(insertion({})), 'gpm')).toBeCloseTo(2.447984 * 100 * 5 * 0.83, 2)
    expect(relative(withFlow(insertion({})), /#profile-factor$/)).toBeCloseTo(0.03, 12)
  })

  test('without its profile factor gives no flow', () => {
    const { profileFactor: _, ...bare } = insertion({}) as Extract<FlowReadings, { method: 'insertion-velocity' }>
    const visit = withFlow(bare)
    expect(ids(visit)).toContain('profile-factor-missing')
    expect(() => visit.result('flow')).toThrow()
  })
})

describe('a totaliser', () => {
  const register = (more: object): FlowReadings =>
    ({
      method: 'meter-totaliser',
      pipe: PIPE,
      start: { value: 481_326, unit: 'gal' },
      end: { value: 481_452, unit: 'gal' },
      multiplier: rated(100),
      elapsed: { value: 1799, unit: 's' },
      ...more,
    }) as FlowReadings

  test('gives the flow of SHEET-03 and of SHEET-10 of the field sheets', () => {
    expect(flowIn(withFlow(register({})), 'gpm') / 420.23346).toBeCloseTo(1, 7)
    const inAcreFeet = register({
      start: { value: 512.482, unit: 'acre-ft' },
      end: { value: 512.648, unit: 'acre-ft' },
      multiplier: rated(1),
      elapsed: { value: 3604, unit: 's' },
    })
    expect(flowIn(withFlow(inAcreFeet), 'gpm') / 900.52171).toBeCloseTo(1, 7)
  })

  test('is uncertain by its last digit over the root of six: stated, or the last one written', () => {
    const digit = (more: object) =>
      contribution(withFlow(register(more)).trace('flow'), /#totaliser-step$/) * 1799 * Math.sqrt(6)
    const hundredGallons = toSi({ value: 100, unit: 'gal' }, 'volume')
    expect(digit({}) / hundredGallons).toBeCloseTo(1, 10)
    expect(digit({ step: { value: 0.1, unit: 'gal' } }) / hundredGallons).toBeCloseTo(0.1, 10)
  })

  test('that starts anew needs its modulus', () => {
    const over = { start: { value: 999_900, unit: 'gal' }, end: { value: 26, unit: 'gal' } }
    const known = withFlow(register({ ...over, modulus: { value: 1_000_000, unit: 'gal' } }))
    expect(flowIn(known, 'gpm') / 420.23346).toBeCloseTo(1, 7)
    expect(ids(known)).not.toContain('totaliser-runs-backwards')
    const unknown = withFlow(register(over))
    expect(ids(unknown)).toContain('totaliser-runs-backwards')
    expect(() => unknown.result('flow')).toThrow()
  })

  test('can’t have read beyond its modulus', () => {
    const { sheet } = goldenCase('SHEET-01')
    sheet.runs[0]!.flow = register({ modulus: { value: 1000, unit: 'gal' } })
    expect(sheetProblems(sheet).map(({ pointer }) => pointer)).toEqual(['/runs/0/flow/modulus'])
  })

  test('without its multiplier gives no flow: 1 is not assumed', () => {
    const { multiplier: _, ...bare } = register({}) as Extract<FlowReadings, { method: 'meter-totaliser' }>
    const visit = withFlow(bare)
    expect(ids(visit)).toContain('totaliser-multiplier-not-stated')
    expect(() => visit.result('flow')).toThrow()
  })

  test('timed over a few digits only is told', () => {
    expect(ids(withFlow(register({})))).not.toContain('totaliser-volume-too-small')
    const few = register({ end: { value: 481_340, unit: 'gal' }, elapsed: { value: 200, unit: 's' } })
    expect(ids(withFlow(few))).toContain('totaliser-volume-too-small')
  })
})

describe('a logarithmic traverse', () => {
  const columns = [
    [2.8, 4.6, 5.3, 6.45, 6.7, 5.75, 5.05, 3.15],
    [2.95, 4.85, 5.45, 6.5, 6.55, 5.7, 4.85, 2.95],
  ]
  const traverse = (rule: 'log-linear' | 'log-tchebycheff', points: number[][], more: object = {}): FlowReadings => ({
    method: 'pitot-traverse',
    rule,
    pipe: { insideDiameters: [inches(10.25), inches(10.25)], diameterBasis: 'measured' },
    tube: { coefficient: rated(0.99) },
    manometer: { fluid: 'air-over-water', resolution: inches(0.05) },
    diameters: points.map((along) => ({
      points: along.map((value) => ({ value, unit: 'in' as const })),
      ...more,
    })),
  })

  test('gives the flow of SHEET-09 of the field sheets', () => {
    const visit = withFlow(traverse('log-linear', columns), (sheet) => {
      const run = sheet.runs[0]!
      run.waterTemperature = { value: 65, unit: 'degF' }
      run.dischargePressure = {
        reading: { value: 22.5, unit: 'psi' },
        gaugeZero: { value: 0, unit: 'psi' },
        gaugeHeightAboveDischargeCentre: { value: 1.1, unit: 'ft' },
      }
    })
    expect(flowIn(visit, 'gpm') / 1300.2502).toBeCloseTo(1, 7)
  })

  test.each([
    ['log-linear', 6, 0.003],
    ['log-linear', 8, 0.002],
    ['log-tchebycheff', 10, 0.001],
  ] as const)('by %s with %d points is uncertain by its integration', (rule, n, u) => {
    const points = [0, 1].map(() => Array.from({ length: n }, () => 5))
    expect(relative(withFlow(traverse(rule, points)), /#traverse-integration$/)).toBeCloseTo(u, 12)
  })

  test.each([4, 12, 7])('with %d points on a diameter is of no rule: the flow is left out', (n) => {
    const visit = withFlow(
      traverse(
        'log-linear',
        [0, 1].map(() => Array.from({ length: n }, () => 5)),
      ),
    )
    expect(visit.evaluation.soundness).not.toBe('sound')
    if (n % 2 === 0) {
      expect(ids(visit)).toContain('traverse-count-not-of-rule')
      expect(() => visit.result('flow')).toThrow()
    } else expect(ids(visit)).toContain('traverse-points-odd')
  })

  test('compares stated positions with its own', () => {
    const stated = (shift: number) =>
      traverse('log-tchebycheff', columns, {
        positions: [0.0238, 0.1, 0.1938, 0.3343, 0.6657, 0.8062, 0.9, 0.9762].map((share) =>
          inches(share * 10.25 + shift),
        ),
      })
    expect(ids(withFlow(stated(0)))).not.toContain('traverse-position-off')
    expect(ids(withFlow(stated(0.2)))).toContain('traverse-position-off')
  })
})
