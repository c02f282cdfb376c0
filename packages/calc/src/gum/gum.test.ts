import { describe, expect, test } from 'vitest'
import { interval95, rectangular, resolution, uncertaintyOf } from '../uncertainty.ts'
import { correlation, endGauge, impedance, sumOfFour, thermometer } from './testing.ts'

describe('the examples of the Guide (JCGM 100:2008)', () => {
  test('H.1, end gauge: contributions, combined uncertainty, degrees of freedom', () => {
    const { graph, length, difference } = endGauge()
    expect(graph.values[length]).toBe(50_000_838)
    const contributions = [...graph.componentSensitivities(length).slice(0, graph.components.length)].map((c, i) =>
      Math.abs(c * graph.components[i]!.u),
    )
    const [standard, repeated, random, systematic, expansion, offset, expansionDifference, gradient] = contributions
    expect(standard).toBeCloseTo(25, 5)
    expect([repeated, random, systematic]).toEqual([5.8, 3.9, 6.7])
    expect([expansion, offset]).toEqual([0, 0])
    expect(expansionDifference).toBeCloseTo(2.9, 1)
    expect(Math.abs(gradient! - 16.6)).toBeLessThan(0.05)

    const ofDifference = uncertaintyOf(graph, difference)
    expect(Math.abs(ofDifference.standard - 9.7)).toBeLessThan(0.05)
    expect(ofDifference.degreesOfFreedom).toBe(25) // printed 25.6, truncated
    const ofLength = uncertaintyOf(graph, length)
    expect(Math.round(ofLength.standard)).toBe(32)
    expect(ofLength.degreesOfFreedom).toBe(16) // printed 16.7, truncated
    expect(ofLength.coverageFactor).toBeCloseTo(2.12, 2)
  })

  test('H.2, impedance: correlated inputs by causes they share', () => {
    const { graph, ...nodes } = impedance()
    const shown = (node: number) => [graph.values[node]!.toFixed(3), uncertaintyOf(graph, node).standard.toFixed(3)]
    expect(shown(nodes.resistance)).toEqual(['127.732', '0.071'])
    expect(shown(nodes.reactance)).toEqual(['219.847', '0.296']) // printed 0.295; 0.2956 from the table's digits
    expect(shown(nodes.impedance)).toEqual(['254.260', '0.236'])
    expect(correlation(graph, nodes.resistance, nodes.reactance)).toBeCloseTo(-0.588, 3)
    expect(correlation(graph, nodes.resistance, nodes.impedance)).toBeCloseTo(-0.485, 3)
    expect(correlation(graph, nodes.reactance, nodes.impedance)).toBeCloseTo(0.993, 3)
  })

  test('H.3, thermometer: a line’s parameters and a value from it', () => {
    const { graph, intercept, slope, at30 } = thermometer()
    const u = (node: number) => uncertaintyOf(graph, node).standard
    expect([graph.values[intercept]!.toFixed(4), u(intercept).toFixed(4)]).toEqual(['-0.1712', '0.0029'])
    expect([graph.values[slope]!.toFixed(5), u(slope).toFixed(5)]).toEqual(['0.00218', '0.00067'])
    expect(correlation(graph, intercept, slope).toFixed(3)).toBe('-0.930')
    expect([graph.values[at30]!.toFixed(4), u(at30).toFixed(4)]).toEqual(['-0.1494', '0.0041'])
  })

  test('half-widths and steps become standard uncertainties (4.3.7, F.2.2.1, 4.3.4)', () => {
    expect(rectangular(1)).toBeCloseTo(0.57735, 5)
    expect(resolution(1)).toBeCloseTo(0.288675, 6)
    expect(interval95(1.96)).toBeCloseTo(1, 4)
  })
})

describe('the additive examples of Supplement 1 (JCGM 101:2008, 9.2)', () => {
  test('9.2.2, four normal quantities: the interval is ±3.92', () => {
    const { graph, sum } = sumOfFour([1, 1, 1, 1])
    const { standard, expanded, degreesOfFreedom } = uncertaintyOf(graph, sum)
    expect(standard).toBe(2)
    expect(expanded.toFixed(2)).toBe('3.92')
    expect(degreesOfFreedom).toBe(Infinity)
  })

  test('9.2.3, four rectangular ones: same ±3.92 by propagation, a hundredth wide of the exact ±3.88', () => {
    const u = rectangular(Math.sqrt(3))
    const { graph, sum } = sumOfFour([u, u, u, u])
    const { expanded } = uncertaintyOf(graph, sum)
    expect(expanded.toFixed(2)).toBe('3.92')
    // Exact tail of a sum of four rectangular quantities of half-width √3: (4√3 − y)⁴ ÷ (24 · 144) = 0.025.
    const exact = 4 * Math.sqrt(3) - (0.025 * 24 * 144) ** 0.25
    expect(exact.toFixed(2)).toBe('3.88')
    expect(expanded / exact - 1).toBeLessThan(0.012)
  })

  test('9.2.4, one rectangular quantity of ten times the others: u is 10.1', () => {
    const { graph, sum } = sumOfFour([1, 1, 1, 10])
    expect(uncertaintyOf(graph, sum).standard.toFixed(1)).toBe('10.1')
  })
})
