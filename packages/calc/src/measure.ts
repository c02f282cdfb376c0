/** From a sheet to the graph: the step that evaluation and trace share. */
import type { Context } from './context.ts'
import { measureWater } from './density.ts'
import { type Facts, noFacts } from './findings/facts.ts'
import type { FlowPart } from './flow/flow-method.ts'
import { Graph } from './graph.ts'
import { measureLevel } from './level/list.ts'
import { measureRun } from './run.ts'
import type { Sheet } from './sheet.ts'
import { type AnyEdition, Instruments } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

/** A sheet brought into the graph: what evaluation and trace start from. */
export interface Measured {
  readonly visit: Visit
  readonly runs: readonly {
    readonly quantities: Quantities
    readonly facts: Facts
    readonly parts: readonly FlowPart[]
  }[]
}

/** Kept between evaluations for its memory; every evaluation empties it first. */
const graph = new Graph()

/** Brings a sheet into the graph. What it returns is valid until the next call. */
export function measure(sheet: Sheet, context: Context, edition: AnyEdition): Measured {
  graph.reset()
  const instruments = new Instruments(graph, context, sheet.testedOn)
  const base = { graph, edition, instruments }
  const waters = sheet.runs.map((run, index) => measureWater(run, `/runs/${index}`, base))
  const standing =
    sheet.standingLevel &&
    measureLevel(sheet.standingLevel, {
      graph,
      edition,
      instruments,
      place: '/standingLevel',
      instrument: sheet.instruments?.level,
      density: (waters[0] ?? measureWater({}, '', base)).density,
    })
  const visit: Visit = { graph, sheet, context, edition, instruments, waters, standing }
  const runs = sheet.runs.map((run, index) => {
    const facts = noFacts()
    const parts: FlowPart[] = []
    return { quantities: measureRun(run, index, visit, facts, parts), facts, parts }
  })
  return { visit, runs }
}
