/**
 * A well test worked by hand: settings ρ = 1000 kg/m³, g = 9.80665 m/s², velocity head included, 95 % interval.
 * The figures were computed apart from this code; each is met to its last printed digit.
 */
import { describe, expect, test } from 'vitest'
import { costPerVolume } from './formulas/cost-per-volume.ts'
import { diskPower } from './formulas/disk-power.ts'
import { drawdown } from './formulas/drawdown.ts'
import { energyPerVolume } from './formulas/energy-per-volume.ts'
import { energyPerVolumeAndHead } from './formulas/energy-per-volume-and-head.ts'
import { fieldHead } from './formulas/field-head.ts'
import { gaugeHead } from './formulas/gauge-head.ts'
import { leastEnergyPerVolumeAndHead } from './formulas/least-energy-per-volume-and-head.ts'
import { lift } from './formulas/lift.ts'
import { meanPower } from './formulas/mean-power.ts'
import { overallPlantEfficiency } from './formulas/overall-plant-efficiency.ts'
import { pipeArea } from './formulas/pipe-area.ts'
import { pipeVelocity } from './formulas/pipe-velocity.ts'
import { pressureHead } from './formulas/pressure-head.ts'
import { specificCapacity } from './formulas/specific-capacity.ts'
import { timingSpread } from './formulas/timing-spread.ts'
import { totalDynamicHead } from './formulas/total-dynamic-head.ts'
import { velocityHead } from './formulas/velocity-head.ts'
import { waterPower } from './formulas/water-power.ts'
import { type ComponentKind, Graph, type Node } from './graph.ts'
import { leafKind } from './surroundings.ts'
import { rectangular, uncertaintyOf } from './uncertainty.ts'
import { type Dimension, fromSi, toSi, unitSize } from './units.ts'

const FLOW = 1000 // gpm
const JOULES_PER_KWH = 3.6e6

function wellTest() {
  const graph = new Graph()
  const read = (value: number, unit: string, dimension: Dimension): Node =>
    graph.leaf(leafKind('worked by hand', dimension), '/worked', { value, unit })

  const density = read(1000, 'kg/m3', 'density')
  const standingLevel = read(92, 'ft', 'length')
  const pumpingLevel = read(120, 'ft', 'length')
  const dischargeCentre = read(2, 'ft', 'length')
  const pressure = read(30, 'psi', 'pressure')
  const gaugeHeight = read(1, 'ft', 'length')
  const diameter = read(9.95, 'in', 'length')
  const flow = read(FLOW, 'gpm', 'flow')
  const constant = read(28.8, 'Wh/rev', 'energy-per-revolution')
  const multiplier = read(1, '1', 'ratio')
  const rate = read(0.15 / JOULES_PER_KWH, '1', 'ratio')
  const timings = [29.4, 29.6, 29.5].map((seconds) => ({
    revolutions: read(17, 'rev', 'revolutions'),
    elapsed: read(seconds, 's', 'time'),
  }))

  const raised = graph.apply(lift, { pumpingLevel, dischargeCentre })
  const gauge = graph.apply(gaugeHead, { pressureHead: graph.apply(pressureHead, { pressure, density }), gaugeHeight })
  const field = graph.apply(fieldHead, { lift: raised, gaugeHead: gauge })
  const velocity = graph.apply(pipeVelocity, { flow, area: graph.apply(pipeArea, { diameter }) })
  const moving = graph.apply(velocityHead, { velocity })
  const head = graph.apply(totalDynamicHead, { fieldHead: field, velocityHead: moving })
  const useful = graph.apply(waterPower, { density, flow, head })
  const usefulOnField = graph.apply(waterPower, { density, flow, head: field })
  const powers = timings.map((timing) => graph.apply(diskPower, { constant, multiplier, ...timing }))
  const inputPower = graph.apply(meanPower, { powers })
  const energy = graph.apply(energyPerVolume, { inputPower, flow })
  const fall = graph.apply(drawdown, { pumpingLevel, standingLevel })
  return {
    graph,
    read: { pumpingLevel, pressure, diameter, flow, elapsed: timings.map(({ elapsed }) => elapsed) },
    lift: raised,
    gauge,
    field,
    velocity,
    velocityHead: moving,
    head,
    useful,
    usefulOnField,
    powers,
    inputPower,
    spread: graph.apply(timingSpread, { powers }),
    efficiency: graph.apply(overallPlantEfficiency, { waterPower: useful, inputPower }),
    efficiencyOnField: graph.apply(overallPlantEfficiency, { waterPower: usefulOnField, inputPower }),
    drawdown: fall,
    capacity: graph.apply(specificCapacity, { flow, drawdown: fall }),
    energy,
    energyAndHead: graph.apply(energyPerVolumeAndHead, { energyPerVolume: energy, head }),
    least: graph.apply(leastEnergyPerVolumeAndHead, { density }),
    cost: graph.apply(costPerVolume, { energyPerVolume: energy, rate }),
  }
}

type WellTest = ReturnType<typeof wellTest>
type Figure = readonly [what: string, node: (t: WellTest) => Node, unit: string, dimension: Dimension, text: string]

/** Each with the digits it was printed with. */
const figures: readonly Figure[] = [
  ['lift', (t) => t.lift, 'ft', 'length', '122.000'],
  ['gauge head', (t) => t.gauge, 'ft', 'length', '70.1998'],
  ['velocity', (t) => t.velocity, 'ft/s', 'velocity', '4.12614'],
  ['velocity head', (t) => t.velocityHead, 'ft', 'length', '0.264576'],
  ['head without velocity heads', (t) => t.field, 'ft', 'length', '192.1998'],
  ['total dynamic head', (t) => t.head, 'ft', 'length', '192.4643'],
  ['total dynamic head, metric', (t) => t.head, 'm', 'length', '58.6631'],
  ['water horsepower', (t) => t.useful, 'hp', 'power', '48.6725'],
  ['water power', (t) => t.useful, 'kW', 'power', '36.2951'],
  ['water horsepower without velocity head', (t) => t.usefulOnField, 'hp', 'power', '48.6056'],
  ['power of the first timing', (t) => t.powers[0]!, 'kW', 'power', '59.9510'],
  ['power of the second timing', (t) => t.powers[1]!, 'kW', 'power', '59.5459'],
  ['power of the third timing', (t) => t.powers[2]!, 'kW', 'power', '59.7478'],
  ['mean power', (t) => t.inputPower, 'kW', 'power', '59.7483'],
  ['input horsepower', (t) => t.inputPower, 'hp', 'power', '80.1237'],
  ['spread of the timings', (t) => t.spread, '%', 'ratio', '0.678'],
  ['overall plant efficiency', (t) => t.efficiency, '%', 'ratio', '60.747'],
  ['the same without velocity head', (t) => t.efficiencyOnField, '%', 'ratio', '60.663'],
  ['drawdown', (t) => t.drawdown, 'ft', 'length', '28.000'],
  ['specific capacity', (t) => t.capacity, 'gpm/ft', 'specific-capacity', '35.714'],
  ['energy per acre-foot', (t) => t.energy, 'kWh/acre-ft', 'energy-per-volume', '324.484'],
  ['energy per 1000 m³', (t) => t.energy, 'kWh/1000 m3', 'energy-per-volume', '263.064'],
  ['energy per volume and head', (t) => t.energyAndHead, 'kWh/acre-ft/ft', 'energy-per-volume-and-head', '1.68594'],
  ['least energy per volume and head', (t) => t.least, 'kWh/acre-ft/ft', 'energy-per-volume-and-head', '1.024155'],
]

const decimals = (text: string): number => text.length - text.indexOf('.') - 1

/** Lets the uncertainties of the worked test act; components in the order of its budget. */
function withUncertainties(): WellTest {
  const t = wellTest()
  const { graph } = t
  const kind = (id: string): ComponentKind => ({
    id,
    label: id,
    action: 'repeat',
    source: { document: 'worked by hand', place: 'budget', basis: 'derived' },
    unit: '1',
  })
  const widen = (id: string, node: Node, u: number): void => {
    graph.act(graph.component({ kind: kind(id), place: '/worked', group: id, u, dof: Infinity }), node, 1)
  }
  widen('flow', t.read.flow, 0.02 * graph.values[t.read.flow]!)
  widen('pressure', t.read.pressure, 0.25 * unitSize('psi', 'pressure'))
  widen('level', t.read.pumpingLevel, 0.15 * unitSize('ft', 'length'))
  widen('diameter', t.read.diameter, rectangular(0.005) * graph.values[t.read.diameter]!)
  for (const elapsed of t.read.elapsed) widen('power', elapsed, 0.15)
  return t
}

/** Standard uncertainty of overall plant efficiency from each cause, relative to it. */
function relativeByCause(t: WellTest): Map<string, number> {
  const { graph, efficiency } = t
  const sensitivities = graph.componentSensitivities(efficiency)
  const variances = new Map<string, number>()
  graph.components.forEach(({ group, u }, i) => {
    variances.set(group, (variances.get(group) ?? 0) + (sensitivities[i]! * u) ** 2)
  })
  return new Map([...variances].map(([group, variance]) => [group, Math.sqrt(variance) / graph.values[efficiency]!]))
}

describe('the worked well test', () => {
  const t = wellTest()

  test.each(figures)('%s', (_, node, unit, dimension, text) => {
    expect(fromSi(t.graph.values[node(t)]!, unit, dimension).toFixed(decimals(text))).toBe(text)
  })

  test('cost of an acre-foot', () => {
    expect((t.graph.values[t.cost]! * toSi({ value: 1, unit: 'acre-ft' }, 'volume')).toFixed(3)).toBe('48.673')
  })

  test('energy per volume and head is the least possible over the efficiency', () => {
    const { values } = t.graph
    expect(values[t.energyAndHead]! / (values[t.least]! / values[t.efficiency]!)).toBeCloseTo(1, 12)
  })

  test('the trade’s constants agree within 0.15 %', () => {
    // As a calculator does it: 2.31 ft for a psi, 64.4 for 2 g, 3960 for a horsepower.
    const velocity = fromSi(t.graph.values[t.velocity]!, 'ft/s', 'velocity')
    const sameHead = fromSi(t.graph.values[t.head]!, 'ft', 'length')
    const useful = fromSi(t.graph.values[t.useful]!, 'hp', 'power')
    expect((122 + 30 * 2.31 + 1 + velocity ** 2 / 64.4).toFixed(1)).toBe('192.6')
    const byHand = (FLOW * (122 + 30 * 2.31 + 1 + velocity ** 2 / 64.4)) / 3960
    expect(byHand.toFixed(2)).toBe('48.63')
    expect(Math.abs(byHand / useful - 1)).toBeLessThan(0.0015)
    expect(Math.abs((FLOW * sameHead) / 3960 / useful - 1)).toBeLessThan(0.0015)
  })
})

describe('the uncertainty of the worked well test', () => {
  const t = withUncertainties()
  const relative = relativeByCause(t)
  const { standard, expanded, coverageFactor, degreesOfFreedom } = uncertaintyOf(t.graph, t.efficiency)

  test.each([
    ['flow', '2.0055'],
    ['power', '0.2936'],
    ['pressure', '0.2996'],
    ['level', '0.0779'],
    ['diameter', '0.0016'],
  ])('%s contributes %s %% of the efficiency', (cause, percent) => {
    expect((relative.get(cause)! * 100).toFixed(4)).toBe(percent)
  })

  test.each([
    ['flow', '95.67'],
    ['pressure', '2.14'],
    ['power', '2.05'],
    ['level', '0.14'],
  ])('%s has %s %% of the variance', (cause, percent) => {
    const total = [...relative.values()].reduce((sum, value) => sum + value ** 2, 0)
    expect(((relative.get(cause)! ** 2 / total) * 100).toFixed(2)).toBe(percent)
  })

  test('flow counts more than once: 2 % times (H + 2 h_v) ÷ H', () => {
    const head = t.graph.values[t.head]!
    const moving = t.graph.values[t.velocityHead]!
    expect(relative.get('flow')).toBeCloseTo((0.02 * (head + 2 * moving)) / head, 12)
  })

  test('the efficiency is 60.75 % ± 2.44 % points', () => {
    expect(((standard / t.graph.values[t.efficiency]!) * 100).toFixed(4)).toBe('2.0504')
    expect((expanded * 100).toFixed(2)).toBe('2.44')
    expect(coverageFactor.toFixed(3)).toBe('1.960')
    expect(degreesOfFreedom).toBe(Infinity)
  })

  test('the timings’ own scatter is smaller than their reaction time and adds nothing', () => {
    const mean = t.graph.values[t.inputPower]!
    const values = t.powers.map((node) => t.graph.values[node]!)
    const deviation = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / 2)
    expect(deviation / Math.sqrt(3) / mean).toBeLessThan(relative.get('power')!)
  })
})
