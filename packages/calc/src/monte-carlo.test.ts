/**
 * The law of propagation against a Monte Carlo simulation (JCGM 101:2008): every cause of uncertainty of SHEET-01 is
 * drawn from its own distribution and acts on the readings themselves; the whole calculation runs for each draw.
 * The two must agree within half a unit of the second significant digit of the uncertainty (JCGM 101:2008, 7.9.2).
 */
import { describe, expect, test } from 'vitest'
import { latestEdition } from './editions/list.ts'
import { measure } from './measure.ts'
import type { QuantityId } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import { atPointer, flowBy, goldenCase, powerBy, sounded } from './testing.ts'
import { traceQuantity } from './trace.ts'
import { uncertaintyOf } from './uncertainty.ts'
import { unitSize } from './units.ts'

const DRAWS = 25_000
const QUANTITIES = ['overall-plant-efficiency', 'flow', 'total-dynamic-head'] as const satisfies readonly QuantityId[]

/** Numbers in [0, 1) that are the same in every run: xoshiro128++ (Blackman and Vigna, 2019; from memory). */
function uniforms(seed: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = seed
  const rotated = (x: number, by: number): number => (x << by) | (x >>> (32 - by))
  return () => {
    const drawn = (rotated((a + d) | 0, 7) + a) | 0
    const t = b << 9
    c ^= a
    d ^= b
    b ^= c
    a ^= d
    c ^= t
    d = rotated(d, 11)
    return (drawn >>> 0) / 2 ** 32
  }
}

const uniform = uniforms([2026, 5, 12, 31415])
const rectangular = (): number => (2 * uniform() - 1) * Math.sqrt(3)
const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform())

interface Numbers {
  value: number
}
type Act = (sheet: Sheet, error: number, place: string) => void

const readingAt = (sheet: Sheet, place: string): Numbers => atPointer(sheet, place) as Numbers
/** Adds an error in SI to the reading at the component’s own place. */
const onReading =
  (dimension: Parameters<typeof unitSize>[1]): Act =>
  (sheet, error, place) => {
    const reading = readingAt(sheet, place) as Numbers & { unit: string }
    reading.value += error / unitSize(reading.unit, dimension)
  }
const pressureOf = (sheet: Sheet): Numbers => sheet.runs[0]!.dischargePressure!.reading
const levelsOf = (sheet: Sheet): Numbers[] => [
  sounded(sheet.standingLevel).reading,
  sounded(sheet.runs[0]!.pumpingLevel).reading,
]
const PSI = unitSize('psi', 'pressure')
const FOOT = unitSize('ft', 'length')
const GAUGE_FULL_SCALE = 100 // psi
/** A relative error of all velocities of the traverse acts like one of the tube’s coefficient. */
const onVelocities: Act = (sheet, error) => {
  flowBy(sheet.runs[0], 'pitot-traverse').tube.coefficient.value *= 1 + error
}

/** How each kind of cause is distributed, and what it does to the sheet. */
const causes: Readonly<Record<string, readonly [draw: () => number, act: Act]>> = {
  'gauge-height': [rectangular, onReading('length')],
  'gauge-step': [rectangular, onReading('pressure')],
  'pressure-swing': [
    rectangular,
    (sheet, error) => {
      pressureOf(sheet).value += error / PSI
    },
  ],
  'gauge-accuracy': [
    rectangular,
    (sheet, error) => {
      pressureOf(sheet).value += error * GAUGE_FULL_SCALE
    },
  ],
  'level-resolution': [rectangular, onReading('length')],
  'sounder-scale': [
    normal,
    (sheet, error) => {
      for (const level of levelsOf(sheet)) level.value *= 1 + error
    },
  ],
  'sounder-offset': [
    normal,
    (sheet, error) => {
      for (const level of levelsOf(sheet)) level.value += error / FOOT
    },
  ],
  'water-temperature': [rectangular, onReading('temperature')],
  'manometer-resolution': [rectangular, onReading('length')],
  'inside-diameter-share': [
    rectangular,
    (sheet, error) => {
      for (const diameter of flowBy(sheet.runs[0], 'pitot-traverse').pipe.insideDiameters!) diameter.value *= 1 + error
    },
  ],
  'pitot-coefficient-certified': [normal, onVelocities],
  'traverse-integration': [normal, onVelocities],
  'traverse-fluctuation': [normal, onVelocities],
  'traverse-position': [normal, onVelocities],
  'traverse-asymmetry': [rectangular, onVelocities],
  'timing-reaction': [normal, onReading('time')],
  'meter-class-mechanical': [
    rectangular,
    (sheet, error) => {
      powerBy(sheet.runs[0], 'meter-revolutions').kh!.value *= 1 + error
    },
  ],
}

const { sheet, context } = goldenCase('SHEET-01')
const components = new Map(
  QUANTITIES.flatMap((quantity) =>
    traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })!.components.map((c) => [c.id, c] as const),
  ),
)

function valuesOf(visited: Sheet): number[] {
  const { visit, runs } = measure(visited, context, latestEdition)
  return QUANTITIES.map((quantity) => visit.graph.values[runs[0]!.quantities.get(quantity)!]!)
}

function propagated() {
  const { visit, runs } = measure(sheet, context, latestEdition)
  return QUANTITIES.map((quantity) => {
    const node = runs[0]!.quantities.get(quantity)!
    return { value: visit.graph.values[node]!, ...uncertaintyOf(visit.graph, node) }
  })
}

/** Everything on a sheet that has a value. */
function readingsIn(part: unknown): Numbers[] {
  if (part === null || typeof part !== 'object') return []
  const own = 'value' in part && typeof part.value === 'number' ? [part as Numbers] : []
  return [...own, ...Object.values(part).flatMap(readingsIn)]
}

/** Draws by quantity. */
function simulated(): Float64Array[] {
  const drawn = QUANTITIES.map(() => new Float64Array(DRAWS))
  const acting = [...components.values()].map((component) => {
    const [draw, act] = causes[component.id.split('#')[1]!]!
    return { component, draw, act }
  })
  const disturbed = structuredClone(sheet)
  const asRead = readingsIn(disturbed).map((reading) => ({ reading, value: reading.value }))
  for (let i = 0; i < DRAWS; i++) {
    for (const { reading, value } of asRead) reading.value = value
    for (const { component, draw, act } of acting)
      act(disturbed, draw() * component.standardUncertainty, component.place)
    valuesOf(disturbed).forEach((value, q) => {
      drawn[q]![i] = value
    })
  }
  return drawn
}

/** Half a unit of the second significant digit: δ of JCGM 101:2008, 7.9.2. */
const tolerance = (u: number): number => 0.5 * 10 ** (Math.floor(Math.log10(u)) - 1)

test('the simulation knows every cause that the calculation knows', () => {
  const kinds = new Set([...components.keys()].map((id) => id.split('#')[1]!))
  expect([...kinds].filter((kind) => !(kind in causes))).toEqual([])
  expect(Object.keys(causes).filter((kind) => !kinds.has(kind))).toEqual([])
})

describe('SHEET-01 simulated', () => {
  const draws = simulated()
  const law = propagated()

  test.each(QUANTITIES.map((quantity, q) => [quantity, q] as const))('%s', (quantity, q) => {
    const values = draws[q]!
    const { value, standard, expanded, degreesOfFreedom } = law[q]!
    const mean = values.reduce((sum, x) => sum + x, 0) / DRAWS
    const deviation = Math.sqrt(values.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (DRAWS - 1))

    expect(degreesOfFreedom).toBe(Infinity)
    expect(Math.abs(deviation - standard)).toBeLessThan(tolerance(standard))
    // The value itself shifts by curvature only: far less than its uncertainty.
    expect(Math.abs(mean - value)).toBeLessThan(standard / 20)
    const inside = values.filter((x) => Math.abs(x - value) <= expanded).length / DRAWS
    expect(inside).toBeGreaterThan(0.94)
    // One rectangular cause, the gauge’s class, makes nine tenths of the head’s variance: its interval is on the safe side.
    expect(inside).toBeLessThan(quantity === 'total-dynamic-head' ? 0.99 : 0.96)
  })
})
