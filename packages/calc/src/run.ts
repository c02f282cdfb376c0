/** One run of a sheet: from its readings to every quantity it allows, in the graph. */

import { measureColumn } from './column.ts'
import type { Facts } from './findings/facts.ts'
import type { FlowPart } from './flow/flow-method.ts'
import { compareFlows, measureTestedFlow } from './flows.ts'
import { gaugeHead } from './formulas/gauge-head.ts'
import { pressureHead } from './formulas/pressure-head.ts'
import { specificCapacity } from './formulas/specific-capacity.ts'
import { measureBoosterSuction, measureHeads, measureLift } from './heads.ts'
import { measureNpsh } from './npsh.ts'
import { addPowers, measureInputPower } from './powers.ts'
import { measurePressure } from './pressure.ts'
import type { Run } from './sheet.ts'
import type { Surroundings } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

/** Brings one run into the graph; collects facts on the way, and the flows that are judged by themselves. */
export function measureRun(run: Run, index: number, visit: Visit, facts: Facts, parts: FlowPart[]): Quantities {
  const { graph, sheet, context, edition, instruments } = visit
  const place = `/runs/${index}`
  const quantities: Quantities = new Map()

  const water = visit.waters[index]!
  const { density } = water
  quantities.set('water-density', density)
  if (visit.standing !== undefined) {
    quantities.set('standing-water-level', visit.standing.level)
    if (visit.standing.trend !== undefined) quantities.set('standing-level-trend', visit.standing.trend)
  }
  if (sheet.kind === 'well') measureLift(run, place, visit, quantities, density)

  const pressure = measurePressure(run, place, visit, facts)
  const around: Surroundings = {
    graph,
    edition,
    instruments,
    facts,
    density,
    pressure: pressure?.pressure,
    equipment: context.plant.equipment,
    clamp: sheet.instruments?.power,
  }
  const suction = measureBoosterSuction(run, place, visit, facts, quantities, around)
  if (pressure !== undefined) {
    const column = graph.apply(pressureHead, { pressure: pressure.pressure, density })
    quantities.set(
      'gauge-head',
      pressure.gaugeHeight === undefined
        ? column
        : graph.apply(gaugeHead, { pressureHead: column, gaugeHeight: pressure.gaugeHeight }),
    )
  }

  const measured = measureTestedFlow(run, place, visit, quantities, around, parts)
  measureInputPower(run, place, sheet.kind, quantities, facts, around)
  measureHeads(run, place, visit, facts, quantities, suction, measured?.area, around)
  const flow = quantities.get('flow')
  const fall = quantities.get('drawdown')
  if (flow !== undefined && fall !== undefined && graph.values[fall]! !== 0)
    quantities.set('specific-capacity', graph.apply(specificCapacity, { flow, drawdown: fall }))
  measureColumn(quantities, water, around)
  measureNpsh(run, place, quantities, water, suction, around)
  addPowers(visit, quantities, density)
  if (measured?.flow !== undefined) compareFlows(run, place, visit, measured.flow, quantities, around, parts)
  return quantities
}
