import { describe, expect, test } from 'vitest'
import { defineFormula } from './formula.ts'
import { type ComponentKind, Graph, type LeafKind } from './graph.ts'
import { combine, uncertaintyOf } from './uncertainty.ts'

const source = { document: 'general science', place: 'algebra', basis: 'derived' } as const
const plain: LeafKind = { title: 'Reading', unit: '1', toSi: ({ value }) => value, unitSize: () => 1 }
const kind: ComponentKind = { id: 'cause', label: 'Cause', action: 'repeat', source, unit: '1' }
const cause = (u: number, dof = Infinity) => ({ kind, place: '/x', group: '/x', u, dof })

const product = defineFormula({
  id: 'product',
  title: 'Product',
  unit: '1',
  inputs: { a: '1', b: '1' },
  expression: 'z = a b',
  source,
  value: ({ a, b }) => a * b,
  partials: ({ a, b }) => ({ a: b, b: a }),
})
const mean = defineFormula({
  id: 'mean',
  title: 'Mean',
  unit: '1',
  inputs: { values: ['1'], scale: '1' },
  expression: 'z = k Σ aᵢ / n',
  source,
  value: ({ values, scale }) => (scale * values.reduce((sum, value) => sum + value, 0)) / values.length,
  partials: ({ values, scale }) => ({
    values: values.map(() => scale / values.length),
    scale: values.reduce((sum, value) => sum + value, 0) / values.length,
  }),
})

/** Two means that share readings, a product above both; junctions where asked for. */
function diamond(graph: Graph, junctions: boolean) {
  const readings = [2, 3, 5].map((value) => graph.leaf(plain, '/x', { value, unit: '1' }))
  const scale = graph.leaf(plain, '/scale', { value: 0.5, unit: '1' })
  const shared = graph.component(cause(0.03))
  for (const reading of readings) {
    graph.act(graph.component(cause(0.1)), reading, 1)
    graph.act(shared, reading, graph.values[reading]!)
  }
  graph.act(graph.component(cause(0.02, 4)), scale, 1)
  const lower = graph.apply(mean, { values: readings, scale })
  graph.act(graph.component(cause(0.05)), lower, 2)
  if (junctions) graph.junction(lower)
  const upper = graph.apply(mean, { values: [lower, readings[0]!, readings[1]!], scale })
  graph.act(graph.component(cause(0.07)), upper, 1)
  if (junctions) graph.junction(upper)
  const top = graph.apply(product, { a: upper, b: lower })
  return { readings, scale, lower, upper, top }
}

describe('the graph', () => {
  test('a value that is used twice gets both its effects', () => {
    const graph = new Graph()
    const x = graph.leaf(plain, '/x', { value: 3, unit: '1' })
    const square = graph.apply(product, { a: x, b: x })
    expect(graph.values[square]).toBe(9)
    expect(graph.sensitivities(square)[x]).toBe(6)
  })

  test('a junction changes how the sums are made, not what they are', () => {
    const without = new Graph()
    const withThem = new Graph()
    const plainNodes = diamond(without, false)
    const nodes = diamond(withThem, true)
    for (const name of ['lower', 'upper', 'top'] as const) {
      const expected = [...without.componentSensitivities(plainNodes[name]).slice(0, without.components.length)]
      const got = withThem.componentSensitivities(nodes[name])
      expected.forEach((value, i) => {
        expect(got[i]).toBeCloseTo(value, 14)
      })
      const nodesBelow = [...without.sensitivities(plainNodes[name]).slice(0, without.size)]
      expect([...withThem.sensitivities(nodes[name]).slice(0, withThem.size)]).toEqual(nodesBelow)
      expect(uncertaintyOf(withThem, nodes[name]).standard).toBeCloseTo(
        uncertaintyOf(without, plainNodes[name]).standard,
        14,
      )
    }
  })

  test('a cause that acts on several readings adds up before it is squared', () => {
    const graph = new Graph()
    const values = [4, 4].map((value) => graph.leaf(plain, '/x', { value, unit: '1' }))
    const one = graph.leaf(plain, '/one', { value: 1, unit: '1' })
    const shared = graph.component(cause(0.2))
    for (const node of values) graph.act(shared, node, 1)
    const middle = graph.apply(mean, { values, scale: one })
    // Independent, it would be 0.2 ÷ √2.
    expect(uncertaintyOf(graph, middle).standard).toBeCloseTo(0.2, 14)
  })

  test('names the inputs of a node, those of a list by their place', () => {
    const graph = new Graph()
    const { readings, scale, lower } = diamond(graph, false)
    expect(graph.inputsOf(lower)).toEqual([
      { name: 'values[0]', node: readings[0] },
      { name: 'values[1]', node: readings[1] },
      { name: 'values[2]', node: readings[2] },
      { name: 'scale', node: scale },
    ])
    expect(graph.inputsOf(scale)).toEqual([])
  })

  test('marks what follows from a node, and nothing else', () => {
    const graph = new Graph()
    const { readings, scale, lower, upper, top } = diamond(graph, false)
    const follows = graph.dependents([upper])
    expect([upper, top].map((node) => follows[node])).toEqual([1, 1])
    expect([...readings, scale, lower].map((node) => follows[node])).toEqual([0, 0, 0, 0, 0])
    expect(graph.dependents([readings[2]!])[top]).toBe(1)
  })

  test('outgrows its first arrays, and forgets everything on reset', () => {
    const graph = new Graph()
    const one = graph.leaf(plain, '/one', { value: 1, unit: '1' })
    let node = graph.leaf(plain, '/x', { value: 2, unit: '1' })
    graph.act(graph.component(cause(0.01)), node, 1)
    for (let i = 0; i < 6000; i++) node = graph.apply(product, { a: node, b: one })
    expect(graph.values[node]).toBe(2)
    expect(uncertaintyOf(graph, node).standard).toBe(0.01)

    graph.reset()
    expect(graph.size).toBe(0)
    const { top } = diamond(graph, true)
    const fresh = new Graph()
    expect(uncertaintyOf(graph, top)).toEqual(uncertaintyOf(fresh, diamond(fresh, true).top))
  })
})

describe('combining', () => {
  test('one cause alone keeps its own degrees of freedom, whatever its size', () => {
    const graph = new Graph()
    for (let dof = 1; dof <= 40; dof++)
      for (let i = 1; i <= 50; i++) {
        graph.reset()
        const x = graph.leaf(plain, '/x', { value: 1, unit: '1' })
        graph.act(graph.component(cause(0.000137 * i, dof)), x, 1)
        expect(uncertaintyOf(graph, x).degreesOfFreedom).toBe(dof)
      }
  })

  test('degrees of freedom of two causes follow Welch and Satterthwaite, cut to a whole number (JCGM 100:2008, G.4)', () => {
    const graph = new Graph()
    const x = graph.leaf(plain, '/x', { value: 1, unit: '1' })
    graph.act(graph.component(cause(3, 4)), x, 1)
    graph.act(graph.component(cause(4, 9)), x, 1)
    // (9 + 16)² ÷ (9²/4 + 16²/9) = 625 ÷ 48.69…
    const { standard, degreesOfFreedom, coverageFactor, expanded } = uncertaintyOf(graph, x)
    expect([standard, degreesOfFreedom]).toEqual([5, 12])
    expect(coverageFactor).toBeCloseTo(2.17881, 5)
    expect(expanded).toBe(coverageFactor * 5)
  })

  test('without a cause there is no uncertainty, and no limit to the degrees of freedom', () => {
    const graph = new Graph()
    const x = graph.leaf(plain, '/x', { value: 1, unit: '1' })
    expect(combine(graph, graph.componentSensitivities(x))).toEqual({
      standard: 0,
      expanded: 0,
      coverageFactor: 1.959963984540054,
      degreesOfFreedom: Infinity,
    })
  })
})
