import { describe, expect, test } from 'vitest'
import { STANDARD_GRAVITY } from '../constants.ts'
import { latestEdition } from '../editions/list.ts'
import type { SwingingReading } from '../readings.ts'
import { changedVisit, contribution, flowBy } from '../testing.ts'
import { fromSi, toSi } from '../units.ts'
import { equalAreaPositions } from './traverse-positions.ts'
import type { PitotTraverse } from './traverse-readings.ts'

const inches = (value: number) => ({ value, unit: 'in' as const })
const point = (form: Omit<SwingingReading, 'unit'>): SwingingReading => ({ unit: 'in', ...form })

const withFlow = (change: (flow: PitotTraverse) => void = () => {}) =>
  changedVisit((sheet) => change(flowBy(sheet.runs[0], 'pitot-traverse')))

const POINT = '/runs/0/flow/diameters/0/points/3'
const withPoint = (form: Omit<SwingingReading, 'unit'>) =>
  withFlow((flow) => {
    flow.diameters[0]!.points[3] = point(form)
  })

/** Velocity of a column in inches over water, with the air of the manometer as the trace has it. */
function velocityOf(visit: ReturnType<typeof withFlow>, column: number): number {
  const factor = visit.trace('flow').nodes.find(({ id }) => id.startsWith('manometer-factor'))!.value
  return Math.sqrt(2 * STANDARD_GRAVITY * toSi(inches(column), 'length') * factor)
}

const areaOf = (visit: ReturnType<typeof withFlow>): number =>
  visit.trace('flow').nodes.find(({ id }) => id === 'pipe-area')!.value

describe('the points of an equal-area traverse', () => {
  test.each([1, 2, 3, 4, 5, 6, 7, 8, 9, 10])('%d on each radius halve rings of equal area', (n) => {
    const positions = equalAreaPositions(n)
    expect(positions).toHaveLength(2 * n)
    positions.forEach((share, i) => {
      expect(share + positions[positions.length - 1 - i]!).toBeCloseTo(1, 14)
      const radius = Math.abs(1 - 2 * share)
      const ring = radius * radius * n // 0.5 in the innermost ring, n − 0.5 in the outermost
      expect(ring - Math.floor(ring)).toBeCloseTo(0.5, 12)
    })
    expect([...positions].sort((a, b) => a - b)).toEqual(positions)
  })
})

describe('a pitot traverse', () => {
  const usual = withFlow()
  const uniform = (points: number, diameters: number) => (flow: PitotTraverse) => {
    flow.diameters = Array.from({ length: diameters }, () => ({
      points: Array.from({ length: points }, () => point({ value: 4 })),
    }))
  }

  test('without the air term gives the flow computed apart: 1152.3126 gpm', () => {
    const factor = usual.trace('flow').nodes.find(({ id }) => id === 'manometer-factor-air')!.value
    const flow = fromSi(usual.result('flow').value, 'gpm', 'flow')
    expect(flow / Math.sqrt(factor) / 1152.3126).toBeCloseTo(1, 7)
  })

  test.each([3, 4, 5, 6, 7, 8, 9, 10])('may have %d points on each radius', (n) => {
    const visit = withFlow(uniform(2 * n, 2))
    expect(visit.result('flow').value).toBeCloseTo(velocityOf(visit, 4) * areaOf(visit), 12)
    const integration = contribution(visit.trace('flow'), /traverse-integration/)
    expect(integration / visit.result('flow').value).toBeCloseTo(
      latestEdition.traverseIntegration['equal-area'][n]!,
      12,
    )
  })

  test('is the surer the more points it has', () => {
    const uncertainties = [6, 8, 10].map((points) => withFlow(uniform(points, 2)).result('flow').standardUncertainty)
    expect(uncertainties).toEqual([...uncertainties].sort((a, b) => b - a))
    expect(new Set(uncertainties).size).toBe(3)
  })

  test('may have one, two or three diameters; one alone is less sure', () => {
    const [one, two, three] = [1, 2, 3].map((diameters) => withFlow(uniform(10, diameters)))
    for (const visit of [one!, two!, three!])
      expect(visit.result('flow').value).toBeCloseTo(velocityOf(visit, 4) * areaOf(visit), 12)
    const alone = contribution(one!.trace('flow'), /traverse-on-one-diameter/)
    expect(alone / one!.result('flow').value).toBeCloseTo(0.015, 12)
    for (const visit of [two!, three!]) expect(contribution(visit.trace('flow'), /traverse-on-one-diameter/)).toBe(0)
  })

  test('whose diameters disagree is less sure by half their spread over √3', () => {
    const visit = withFlow((flow) => {
      uniform(10, 3)(flow)
      for (const p of flow.diameters[1]!.points) p.value = 4.41
      for (const p of flow.diameters[2]!.points) p.value = 3.61
    })
    // Velocities as 20 : 21 : 19.
    const asymmetry = contribution(visit.trace('flow'), /traverse-asymmetry/) / visit.result('flow').value
    expect(asymmetry).toBeCloseTo(2 / 20 / 2 / Math.sqrt(3), 10)
  })

  test('is the mean over all points, also where diameters have different numbers of them', () => {
    const visit = withFlow((flow) => {
      flow.diameters = [
        { points: [1, 1, 1, 1, 1, 1].map((value) => point({ value })) },
        { points: [4, 4, 4, 4, 4, 4, 4, 4].map((value) => point({ value })) },
      ]
    })
    const mean = (6 * velocityOf(visit, 1) + 8 * velocityOf(visit, 4)) / 14
    expect(visit.result('flow').value).toBeCloseTo(mean * areaOf(visit), 12)
  })

  test('a column of zero is no velocity, and its step is still an uncertainty', () => {
    const visit = withPoint({ value: 0 })
    const others = withPoint({ value: 1e-12 })
    expect(visit.result('flow').value).toBeCloseTo(others.result('flow').value, 6)
    expect(visit.result('flow').standardUncertainty).toBeCloseTo(others.result('flow').standardUncertainty, 8)
    const step = toSi(inches(0.05), 'length') / Math.sqrt(12)
    const speed = velocityOf(visit, 1) * Math.sqrt(step / toSi(inches(1), 'length'))
    expect(contribution(visit.trace('flow'), POINT)).toBeCloseTo((speed / 20) * areaOf(visit), 12)
  })

  test('a column below zero is flow the other way: it counts against the others, and the flow is not reported', () => {
    const [forward, still, backward] = [0.4, 0, -0.4].map((value) => withPoint({ value }).trace('flow').value)
    expect(() => withPoint({ value: -0.4 }).result('flow')).toThrow('no result')
    expect(forward! - still!).toBeCloseTo(still! - backward!, 12)
    expect(backward).toBeLessThan(still!)
    const components = [0.4, -0.4].map((value) => contribution(withPoint({ value }).trace('flow'), POINT))
    expect(components[1]).toBeCloseTo(components[0]!, 12)
  })

  test('a swing counts as its middle, and half of it as a rectangular half-width', () => {
    const swinging = withPoint({ low: 4.4, high: 5 })
    const steady = withPoint({ value: 4.7 })
    expect(swinging.result('flow').value).toBeCloseTo(steady.result('flow').value, 12)
    const perInch = (velocityOf(steady, 4.7) / (2 * 4.7) / 20) * areaOf(steady)
    const swing = contribution(swinging.trace('flow'), /column-swing/)
    expect(swing).toBeCloseTo((perInch * 0.3) / Math.sqrt(3), 12)
    expect(contribution(steady.trace('flow'), /column-swing/)).toBe(0)
  })

  test('a swing about zero is more uncertain than a steady zero', () => {
    const steady = contribution(withPoint({ value: 0 }).trace('flow'), POINT)
    const swinging = contribution(withPoint({ low: -0.5, high: 0.5 }).trace('flow'), POINT)
    expect(swinging).toBeGreaterThan(2 * steady)
    const continued = contribution(withPoint({ low: -0.4, high: 0.6 }).trace('flow'), POINT)
    expect(swinging / continued).toBeGreaterThan(0.5)
    expect(swinging / continued).toBeLessThan(2)
  })

  test('repeats count as the mean of their velocities, never as the root of their mean column', () => {
    const visit = withPoint({ repeats: [1, 4, 9] })
    const still = withPoint({ value: 0 })
    const added = visit.result('flow').value - still.result('flow').value
    const mean = velocityOf(visit, 1) * ((1 + 2 + 3) / 3)
    expect(added).toBeCloseTo((mean / 20) * areaOf(visit), 12)
  })

  test('repeats that scatter beyond the step are as uncertain as their scatter says, with n − 1 degrees of freedom', () => {
    const visit = withPoint({ repeats: [3.61, 4, 4.41] }) // velocities as 1.9 : 2 : 2.1
    const scatter = (velocityOf(visit, 1) * 0.1) / Math.sqrt(3)
    const trace = visit.trace('flow')
    expect(contribution(trace, /diameters\/0\/points\/3/)).toBeCloseTo((scatter / 20) * areaOf(visit), 10)
    expect(trace.components.find(({ id }) => id.endsWith('column-repeats'))!.degreesOfFreedom).toBe(2)
  })

  test('repeats that all show the same are as uncertain as one: the step does not average out', () => {
    const once = contribution(withPoint({ value: 4.7 }).trace('flow'), /diameters\/0\/points\/3/)
    const again = contribution(withPoint({ repeats: [4.7, 4.7, 4.7, 4.7] }).trace('flow'), /diameters\/0\/points\/3/)
    expect(again).toBeCloseTo(once, 12)
  })

  test.each([
    ['liquid-under-water', 2.95, 1.95],
    ['liquid-under-water', 13.55, 12.55],
    ['liquid-over-water', 0.827, 0.173],
  ] as const)('%s of relative density %d: the column counts %d times', (fluid, relativeDensity, factor) => {
    const visit = withFlow((flow) => {
      uniform(10, 2)(flow)
      Object.assign(flow.manometer, { fluid, relativeDensity: { value: relativeDensity, unit: '1' } })
    })
    const velocity = Math.sqrt(2 * STANDARD_GRAVITY * toSi(inches(4), 'length') * factor)
    expect(visit.result('flow').value).toBeCloseTo(velocity * areaOf(visit), 12)
    // Half a percent of the density, as rectangular half-width, over the difference that is left.
    const share = (0.005 / Math.sqrt(3)) * (relativeDensity / factor / 2)
    const ofLiquid = contribution(visit.trace('flow'), /manometer-fluid-density/)
    expect(ofLiquid / visit.result('flow').value).toBeCloseTo(share, 10)
  })

  test('air in the manometer is as dense as the pressure in the pipe makes it', () => {
    const open = changedVisit((sheet) => {
      delete sheet.runs[0]!.dischargePressure
      sheet.runs[0]!.dischargeOpen = true
    })
    const density = (visit: typeof open) =>
      visit.trace('flow').nodes.find(({ id }) => id === 'manometer-air-density')!.value
    expect(density(open)).toBeCloseTo(1.225, 3) // standard atmosphere at sea level, ISO 2533:1975
    expect(density(usual) / density(open)).toBeCloseTo(1 + 41.5 / fromSi(101325, 'psi', 'pressure'), 10)
  })

  test('a tube whose certificate has run out is taken as one without', () => {
    const lapsed = changedVisit((_, context) => {
      context.instruments.find(({ code }) => code === 'pitot-1')!.certificate!.validUntil = '2026-05-11'
    })
    const share = (visit: typeof lapsed) =>
      contribution(visit.trace('flow'), 'instrument/pitot-1') / visit.result('flow').value
    expect(share(usual)).toBeCloseTo(0.005, 12)
    expect(share(lapsed)).toBeCloseTo(0.015, 12)
  })

  test.each([
    [7.99, 0.005],
    [6, 0.005],
    [5.9, 0.01],
    [4, 0.01],
    [1, 0.02],
    [0, 0.02],
    [8, 0],
    [20, 0],
  ])('%d straight diameters upstream of the 8 asked add %d of the flow', (diameters, share) => {
    const visit = withFlow((flow) => {
      flow.pipe.insideDiameters = [inches(10)]
      flow.pipe.straightUpstream = inches(10 * diameters)
    })
    const added = contribution(visit.trace('flow'), /short-straight-run/) / visit.result('flow').value
    expect(added).toBeCloseTo(share, 12)
  })

  test('a pipe measured from outside is the pipe measured inside', () => {
    const inside = withFlow((flow) => {
      flow.pipe.insideDiameters = [inches(10)]
    })
    const outside = withFlow((flow) => {
      const { insideDiameters: _, ...rest } = flow.pipe
      flow.pipe = {
        ...rest,
        outsideDiameter: inches(10.75),
        wallThickness: inches(0.25),
        liningThickness: inches(0.125),
        diameterBasis: 'outside-and-wall',
      }
    })
    expect(outside.result('flow').value).toBeCloseTo(inside.result('flow').value, 12)
    expect(outside.result('flow').standardUncertainty).toBeCloseTo(inside.result('flow').standardUncertainty, 12)
  })

  test('two diameters at right angles make the circle of the same area; a small pipe is known to a millimetre', () => {
    const visit = withFlow((flow) => {
      flow.pipe.insideDiameters = [inches(5), inches(5.2)]
    })
    const diameter = toSi(inches(Math.sqrt(26)), 'length')
    expect(areaOf(visit)).toBeCloseTo((Math.PI * diameter * diameter) / 4, 14)
    const share = contribution(visit.trace('flow'), /inside-diameter/) / visit.result('flow').value
    expect(share).toBeCloseTo((2 * 0.001) / Math.sqrt(3) / diameter, 12)
  })
})
