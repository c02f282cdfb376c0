/** A register that counts volume or energy: what passed between two readings, and how far its last digit leaves that unknown. */
import type { ComponentKind, Graph, LeafKind, Node } from './graph.ts'
import type { Reading } from './readings.ts'
import { leafKind } from './surroundings.ts'
import { siUnit, toSi, unitSize } from './units.ts'
import { writtenStep } from './written-step.ts'

export interface RegisterReadings {
  readonly start: Reading
  readonly end: Reading
  /** Smallest digit or division, without the multiplier. */
  readonly step?: Reading
  /** What it shows when it starts again from zero, without the multiplier. */
  readonly modulus?: Reading
  readonly multiplier?: Reading
}

interface Difference {
  readonly start: Node
  readonly end: Node
  readonly rollover: Node
  readonly multiplier: Node
}

export interface RegisterKind {
  readonly dimension: 'volume' | 'energy'
  readonly start: LeafKind
  readonly end: LeafKind
  readonly rollover: LeafKind
  readonly multiplier: LeafKind
  readonly lastDigit: ComponentKind
  readonly difference: (graph: Graph, inputs: Difference) => Node
}

/** Declares what a register counts; `register` is its name in words, `id` that of its step as a cause of uncertainty. */
export const registerKind = (
  dimension: RegisterKind['dimension'],
  words: { readonly register: string; readonly rollover: string; readonly id: string; readonly step: string },
  difference: RegisterKind['difference'],
): RegisterKind => ({
  dimension,
  start: leafKind(`${words.register} at the start`, dimension),
  end: leafKind(`${words.register} at the end`, dimension),
  rollover: leafKind(words.rollover, dimension),
  multiplier: leafKind(`Multiplier of the ${words.register.toLowerCase()}`, 'ratio'),
  // Two readings, each off by up to half a digit: their difference has a triangular distribution, u = digit ÷ √6.
  lastDigit: {
    id: words.id,
    label: words.step,
    action: 'repeat',
    source: { document: 'JCGM 100:2008', place: '4.3.9 and F.2.2.1, triangular distribution', basis: 'from memory' },
    unit: siUnit(dimension),
  },
  difference,
})

/** Smallest step in SI, without the multiplier: as stated, or the last digit that was written. */
function stepOf({ step, start, end }: RegisterReadings, dimension: RegisterKind['dimension']): number {
  if (step !== undefined) return toSi(step, dimension)
  return Math.min(...[start, end].map(({ value, unit }) => writtenStep(value) * unitSize(unit, dimension)))
}

/**
 * What passed, multiplier included, and the size of the last digit in SI; undefined where no multiplier was stated, or the
 * register went back with no word where it starts anew.
 */
export function measureRegister(
  readings: RegisterReadings,
  place: string,
  kind: RegisterKind,
  graph: Graph,
): { readonly passed: Node; readonly digit: number } | undefined {
  const { start, end, modulus, multiplier } = readings
  const { dimension } = kind
  const wentBack = toSi(end, dimension) < toSi(start, dimension)
  if (multiplier === undefined || (wentBack && modulus === undefined)) return undefined
  const factor = graph.leaf(kind.multiplier, `${place}/multiplier`, multiplier)
  const passed = kind.difference(graph, {
    start: graph.leaf(kind.start, `${place}/start`, start),
    end: graph.leaf(kind.end, `${place}/end`, end),
    rollover:
      wentBack && modulus !== undefined
        ? graph.leaf(kind.rollover, `${place}/modulus`, modulus)
        : graph.leaf(kind.rollover, 'edition/no-rollover', { value: 0, unit: siUnit(dimension) }),
    multiplier: factor,
  })
  const digit = stepOf(readings, dimension) * graph.values[factor]!
  const at = `${place}/end`
  graph.act(
    graph.component({ kind: kind.lastDigit, place: at, group: at, u: digit / Math.sqrt(6), dof: Infinity }),
    passed,
    1,
  )
  return { passed, digit }
}
