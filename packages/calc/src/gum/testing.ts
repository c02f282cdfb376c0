/**
 * Worked examples of the Guide to the expression of uncertainty in measurement (JCGM 100:2008, annex H) and of
 * its Supplement 1 (JCGM 101:2008, 9.2), brought into the product's graph: its propagation must give what they print.
 */
import { defineFormula, type Source } from '../formula.ts'
import { type ComponentKind, Graph, type LeafKind, type Node } from '../graph.ts'
import { rectangular } from '../uncertainty.ts'

const source: Source = { document: 'JCGM 100:2008', place: 'annex H', basis: 'looked up' }
const kind: ComponentKind = { id: 'example', label: 'Example', action: 'repeat', source, unit: '1' }
const plain: LeafKind = { title: 'Example', unit: '1', toSi: ({ value }) => value, unitSize: () => 1 }

const leaf = (graph: Graph, value: number): Node => graph.leaf(plain, '/example', { value, unit: '1' })

/** One more cause of uncertainty acting on a node with the coefficient given. */
function widen(graph: Graph, node: Node, u: number, dof = Infinity, coefficient = 1): void {
  graph.act(graph.component({ kind, place: '/example', group: 'example', u, dof }), node, coefficient)
}

/** Correlation of two quantities of a graph, from the components they share. */
export function correlation(graph: Graph, a: Node, b: Node): number {
  const ofA = graph.componentSensitivities(a).slice(0, graph.components.length)
  const ofB = graph.componentSensitivities(b).slice(0, graph.components.length)
  let covariance = 0
  let varianceA = 0
  let varianceB = 0
  graph.components.forEach(({ u }, i) => {
    covariance += ofA[i]! * ofB[i]! * u * u
    varianceA += ofA[i]! * ofA[i]! * u * u
    varianceB += ofB[i]! * ofB[i]! * u * u
  })
  return covariance / Math.sqrt(varianceA * varianceB)
}

const gaugeLength = defineFormula({
  id: 'end-gauge-length',
  title: 'Length of the end gauge',
  unit: 'nm',
  inputs: {
    standard: 'nm',
    difference: 'nm',
    expansion: '1/K',
    offset: 'K',
    expansionDifference: '1/K',
    gradient: 'K',
  },
  expression: 'l = l_s + d − l_s (δα · θ + α_s · δθ)',
  source,
  value: ({ standard, difference, expansion, offset, expansionDifference, gradient }) =>
    standard + difference - standard * (expansionDifference * offset + expansion * gradient),
  partials: ({ standard, expansion, offset, expansionDifference, gradient }) => ({
    standard: 1 - (expansionDifference * offset + expansion * gradient),
    difference: 1,
    expansion: -standard * gradient,
    offset: -standard * expansionDifference,
    expansionDifference: -standard * offset,
    gradient: -standard * expansion,
  }),
})

/** H.1: calibration of an end gauge. Values in nm. */
export function endGauge(): { graph: Graph; length: Node; difference: Node } {
  const graph = new Graph()
  const standard = leaf(graph, 50_000_623)
  widen(graph, standard, 75 / 3, 18)
  const difference = leaf(graph, 215)
  // Repeated observations, random and systematic effects of the comparator.
  widen(graph, difference, 5.8, 24)
  widen(graph, difference, 3.9, 5)
  widen(graph, difference, 6.7, 8)
  const expansion = leaf(graph, 11.5e-6)
  widen(graph, expansion, rectangular(2e-6))
  const offset = leaf(graph, -0.1)
  widen(graph, offset, 0.41)
  const expansionDifference = leaf(graph, 0)
  widen(graph, expansionDifference, rectangular(1e-6), 50)
  const gradient = leaf(graph, 0)
  widen(graph, gradient, rectangular(0.05), 2)
  const length = graph.apply(gaugeLength, { standard, difference, expansion, offset, expansionDifference, gradient })
  return { graph, length, difference }
}

const reflected = (id: 'resistance' | 'reactance', trig: (phase: number) => number, slope: (phase: number) => number) =>
  defineFormula({
    id,
    title: id,
    unit: 'ohm',
    inputs: { voltage: 'V', current: 'A', phase: 'rad' },
    expression: id === 'resistance' ? 'R = V / I · cos φ' : 'X = V / I · sin φ',
    source,
    value: ({ voltage, current, phase }) => (voltage / current) * trig(phase),
    partials: ({ voltage, current, phase }) => ({
      voltage: trig(phase) / current,
      current: (-voltage / (current * current)) * trig(phase),
      phase: (voltage / current) * slope(phase),
    }),
  })
const resistance = reflected('resistance', Math.cos, (phase) => -Math.sin(phase))
const reactance = reflected('reactance', Math.sin, Math.cos)
const magnitude = defineFormula({
  id: 'impedance',
  title: 'Impedance',
  unit: 'ohm',
  inputs: { voltage: 'V', current: 'A' },
  expression: 'Z = V / I',
  source,
  value: ({ voltage, current }) => voltage / current,
  partials: ({ voltage, current }) => ({ voltage: 1 / current, current: -voltage / (current * current) }),
})

/** Table H.2: five simultaneous observations of volts, milliamperes and radians. */
const observed = {
  voltage: [5.007, 4.994, 5.005, 4.99, 4.999],
  current: [19.663, 19.639, 19.64, 19.685, 19.678].map((milliamperes) => milliamperes / 1000),
  phase: [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length

/** H.2: resistance, reactance and impedance from inputs that vary together; in ohm. */
export function impedance(): { graph: Graph; resistance: Node; reactance: Node; impedance: Node } {
  const graph = new Graph()
  const node = {
    voltage: leaf(graph, meanOf(observed.voltage)),
    current: leaf(graph, meanOf(observed.current)),
    phase: leaf(graph, meanOf(observed.phase)),
  }
  const n = observed.voltage.length
  // What the k-th observation departs from the means by acts on all three at once: their covariances follow.
  for (let k = 0; k < n; k++) {
    const together = graph.component({ kind, place: '/example', group: 'example', u: 1, dof: n - 1 })
    for (const name of ['voltage', 'current', 'phase'] as const)
      graph.act(together, node[name], (observed[name][k]! - meanOf(observed[name])) / Math.sqrt(n * (n - 1)))
  }
  return {
    graph,
    resistance: graph.apply(resistance, node),
    reactance: graph.apply(reactance, node),
    impedance: graph.apply(magnitude, { voltage: node.voltage, current: node.current }),
  }
}

/** Table H.6: readings of the thermometer and corrections observed, in °C. */
const readings = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
const corrections = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16]
const REFERENCE = 20

/** A sum with fixed weights: what a straight line through observations makes of them. */
const weighted = (id: string, weights: readonly number[]) =>
  defineFormula({
    id,
    title: id,
    unit: 'degC',
    inputs: { observations: ['degC'] },
    expression: 'y = Σ wᵢ bᵢ',
    source,
    value: ({ observations }) => observations.reduce((sum, value, i) => sum + weights[i]! * value, 0),
    partials: () => ({ observations: weights }),
  })

const line = (at: number) =>
  defineFormula({
    id: 'correction',
    title: 'Correction from the line',
    unit: 'degC',
    inputs: { intercept: 'degC', slope: '1' },
    expression: 'b = y₁ + y₂ (t − t₀)',
    source,
    value: ({ intercept, slope }) => intercept + slope * (at - REFERENCE),
    partials: () => ({ intercept: 1, slope: at - REFERENCE }),
  })

/** H.3: calibration of a thermometer by a straight line; intercept at 20 °C, slope, correction at 30 °C. */
export function thermometer(): { graph: Graph; intercept: Node; slope: Node; at30: Node } {
  const graph = new Graph()
  const n = readings.length
  const x = readings.map((reading) => reading - REFERENCE)
  const middle = meanOf(x)
  const spread = x.reduce((sum, value) => sum + (value - middle) ** 2, 0)
  const slopeWeights = x.map((value) => (value - middle) / spread)
  const interceptWeights = slopeWeights.map((weight) => 1 / n - middle * weight)
  const slopeValue = corrections.reduce((sum, value, i) => sum + slopeWeights[i]! * value, 0)
  const interceptValue = corrections.reduce((sum, value, i) => sum + interceptWeights[i]! * value, 0)
  const residual = corrections.reduce((sum, value, i) => sum + (value - interceptValue - slopeValue * x[i]!) ** 2, 0)
  const deviation = Math.sqrt(residual / (n - 2))

  const observations = corrections.map((correction) => {
    const observation = leaf(graph, correction)
    widen(graph, observation, deviation)
    return observation
  })
  const intercept = graph.apply(weighted('intercept', interceptWeights), { observations })
  const slope = graph.apply(weighted('slope', slopeWeights), { observations })
  return { graph, intercept, slope, at30: graph.apply(line(30), { intercept, slope }) }
}

const sum = defineFormula({
  id: 'sum',
  title: 'Sum',
  unit: '1',
  inputs: { terms: ['1'] },
  expression: 'Y = Σ Xᵢ',
  source: { document: 'JCGM 101:2008', place: '9.2.1', basis: 'looked up' },
  value: ({ terms }) => terms.reduce((total, term) => total + term, 0),
  partials: ({ terms }) => ({ terms: terms.map(() => 1) }),
})

/** JCGM 101:2008, 9.2: the sum of four quantities of zero, each of the standard uncertainty given. */
export function sumOfFour(standardUncertainties: readonly [number, number, number, number]): {
  graph: Graph
  sum: Node
} {
  const graph = new Graph()
  const terms = standardUncertainties.map((u) => {
    const term = leaf(graph, 0)
    widen(graph, term, u)
    return term
  })
  return { graph, sum: graph.apply(sum, { terms }) }
}
