/** What a method needs beside its own readings: the graph, the edition, the instruments on record. */
import type { Context, ContextInstrument, Equipment } from './context.ts'
import type { edition20261 } from './editions/2026-1.ts'
import type { Edition } from './editions/edition.ts'
import type { Facts } from './findings/facts.ts'
import type { Action, Component, ComponentKind, Graph, LeafKind, Node } from './graph.ts'
import { dayNumber } from './instants.ts'
import type { Reading } from './readings.ts'
import { interval95, rectangular } from './uncertainty.ts'
import { type Dimension, isUnitOf, type Measured, siConverter, siUnit, toSi, unitSize } from './units.ts'

export type DefaultName = keyof (typeof edition20261)['defaults']
export type AnyEdition = Edition<DefaultName, keyof (typeof edition20261)['limits']>

/** Everything a method may lean on while one run is evaluated. */
export interface Surroundings {
  readonly graph: Graph
  readonly edition: AnyEdition
  readonly instruments: Instruments
  readonly facts: Facts
  /** Equipment of the plant on record. */
  readonly equipment: Equipment | undefined
  /** Code of the instrument named for electrical power. */
  readonly clamp: string | undefined
  /** Density of the water of the run. */
  readonly density: Node
  /** Gauge pressure in the discharge pipe, where it was read. */
  readonly pressure: Node | undefined
}

/** Declares a kind of reading. */
export const leafKind = (title: string, dimension: Dimension): LeafKind => ({
  title,
  unit: siUnit(dimension),
  toSi: siConverter(dimension),
  unitSize: (unit) => unitSize(unit, dimension),
})

const kindsOfDefaults = new WeakMap<AnyEdition, Map<DefaultName, ComponentKind>>()

/** The kind of component that a default of the edition makes. */
export function defaultKind(edition: AnyEdition, name: DefaultName, action: Action): ComponentKind {
  let kinds = kindsOfDefaults.get(edition)
  if (kinds === undefined) {
    kinds = new Map()
    kindsOfDefaults.set(edition, kinds)
  }
  let kind = kinds.get(name)
  if (kind === undefined) {
    const declared = edition.defaults[name]
    kind = { id: name, label: declared.title, action, source: declared.source, unit: declared.siUnit }
    kinds.set(name, kind)
  }
  return kind
}

/** Lets a default of the edition act on a node, as a cause of its own at `place`. */
export function widen(
  around: { graph: Graph; edition: AnyEdition },
  name: DefaultName,
  action: Action,
  place: string,
  group: string,
  node: Node,
  coefficient: number,
): void {
  const component: Component = {
    kind: defaultKind(around.edition, name, action),
    place,
    group,
    u: around.edition.defaults[name].u,
    dof: Infinity,
  }
  around.graph.act(around.graph.component(component), node, coefficient)
}

const CERTIFICATE = {
  document: 'certificate or class on record',
  place: 'instrument of the context',
  basis: 'looked up',
} as const

/** Standard uncertainty of an accuracy, as the ratio of what its percentage is taken of. */
export function accuracyRatio(accuracy: NonNullable<ContextInstrument['accuracy']>): number {
  const ratio = accuracy.percent / 100
  return accuracy.stated === 'limit' ? rectangular(ratio) : interval95(ratio)
}

/** Smallest step of an instrument, where it is on record in a unit of what was read. */
export function stepOf(instrument: ContextInstrument | undefined, dimension: Dimension): Measured | undefined {
  const step = instrument?.resolution
  return step !== undefined && isUnitOf(step.unit, dimension) ? step : undefined
}

/**
 * End of the scale of an instrument, as it is on record in a unit of what was read: its full scale, else the end of
 * its range that lies farther from zero (of a vacuum gauge, the lower one).
 */
export function scaleEndOf(
  instrument: Pick<ContextInstrument, 'fullScale' | 'range'> | undefined,
  dimension: Dimension,
): Measured | undefined {
  const { fullScale, range } = instrument ?? {}
  if (fullScale !== undefined && isUnitOf(fullScale.unit, dimension)) return fullScale
  if (range === undefined || !isUnitOf(range.unit, dimension)) return undefined
  return { value: Math.max(Math.abs(range.low), Math.abs(range.high)), unit: range.unit }
}

/** The same in SI. */
export function fullScaleOf(instrument: ContextInstrument | undefined, dimension: Dimension): number | undefined {
  const end = scaleEndOf(instrument, dimension)
  return end === undefined ? undefined : toSi(end, dimension)
}

/** Instruments on record, by code; remembers the errors they share between readings. */
export class Instruments {
  readonly #byCode = new Map<string, ContextInstrument>()
  readonly #shared: { readonly kindId: string; readonly place: string; readonly component: number }[] = []
  readonly #graph: Graph
  readonly #testedOn: number
  readonly #kinds = new Map<string, ComponentKind>()

  constructor(graph: Graph, context: Context, testedOn: string) {
    this.#graph = graph
    this.#testedOn = dayNumber(testedOn)
    for (const instrument of context.instruments) this.#byCode.set(instrument.code, instrument)
  }

  /** The instrument on record if it is of a kind that can have made the reading: another’s figures say nothing of it. */
  find(code: string | undefined, ...kinds: readonly ContextInstrument['kind'][]): ContextInstrument | undefined {
    const instrument = code === undefined ? undefined : this.#byCode.get(code)
    return instrument !== undefined && kinds.includes(instrument.kind) ? instrument : undefined
  }

  /** The instrument on record, whatever its kind. */
  onRecord(code: string | undefined): ContextInstrument | undefined {
    return code === undefined ? undefined : this.#byCode.get(code)
  }

  /** True if the instrument has a certificate that stood on the day of the test. */
  certified(instrument: ContextInstrument | undefined): boolean {
    const certificate = instrument?.certificate
    return (
      certificate !== undefined &&
      dayNumber(certificate.validFrom) <= this.#testedOn &&
      this.#testedOn <= dayNumber(certificate.validUntil)
    )
  }

  /** One component for all readings of an instrument: made at the first reading, found again at the next. */
  shared(place: string, kindId: string, make: () => Component): number {
    // A visit has a dozen of them: to look through them is faster than to make a key.
    for (const known of this.#shared) if (known.kindId === kindId && known.place === place) return known.component
    const component = this.#graph.component(make())
    this.#shared.push({ kindId, place, component })
    return component
  }

  /** Kind of a component whose size comes from the instrument’s record. */
  kind(id: string, label: string, action: Action, dimension: Dimension): ComponentKind {
    let kind = this.#kinds.get(id)
    if (kind === undefined) {
      kind = { id, label, action, source: CERTIFICATE, unit: siUnit(dimension) }
      this.#kinds.set(id, kind)
    }
    return kind
  }
}

/** Code of the instrument of a reading: its own, or the one named for its use. */
export const instrumentOf = (reading: Reading, forUse: string | undefined): string | undefined =>
  reading.instrument ?? forUse
