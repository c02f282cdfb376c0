/** Heads of a run: lift or suction, what the discharge gauge says, and what the moving water carries. */
import type { Facts } from './findings/facts.ts'
import { widenDiameter } from './flow/pipe.ts'
import { boosterFieldHead } from './formulas/booster-field-head.ts'
import { boosterTotalHead } from './formulas/booster-total-head.ts'
import { drawdown } from './formulas/drawdown.ts'
import { fieldHead } from './formulas/field-head.ts'
import { lift } from './formulas/lift.ts'
import { pipeArea } from './formulas/pipe-area.ts'
import { pipeVelocity } from './formulas/pipe-velocity.ts'
import { recovery } from './formulas/recovery.ts'
import { totalDynamicHead } from './formulas/total-dynamic-head.ts'
import { velocityHead } from './formulas/velocity-head.ts'
import type { Node } from './graph.ts'
import { measureLevel } from './level/list.ts'
import type { Run } from './sheet.ts'
import { measureSuction, type SuctionMeasured } from './suction.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

const DISCHARGE_CENTRE = leafKind('Discharge centre above the level datum', 'length')
const TAP_DIAMETER = leafKind('Inside diameter at the discharge tap', 'length')

/** Levels of a well: pumping level, lift to the discharge centre, drawdown. */
export function measureLift(run: Run, place: string, visit: Visit, quantities: Quantities, density: Node): void {
  const { graph, sheet, edition, instruments } = visit
  if (run.pumpingLevel === undefined) return
  const around = { graph, edition, instruments, instrument: sheet.instruments?.level, density }
  const { level: pumpingLevel, trend } = measureLevel(run.pumpingLevel, { ...around, place: `${place}/pumpingLevel` })
  quantities.set('pumping-water-level', pumpingLevel)
  if (trend !== undefined) quantities.set('pumping-level-trend', trend)
  const above = sheet.dischargeCentreAboveDatum
  if (above === undefined) quantities.set('lift', pumpingLevel)
  else {
    const at = '/dischargeCentreAboveDatum'
    const dischargeCentre = graph.leaf(DISCHARGE_CENTRE, at, above)
    widen(visit, 'gauge-height', 'measure', at, at, dischargeCentre, 1)
    quantities.set('lift', graph.apply(lift, { pumpingLevel, dischargeCentre }))
  }
  if (visit.standing === undefined) return
  const { level: standingLevel } = visit.standing
  const fall = graph.apply(drawdown, { pumpingLevel, standingLevel })
  quantities.set('drawdown', fall)
  if (run.levelAfterStop === undefined || !(graph.values[fall]! > 0)) return
  const after = measureLevel(run.levelAfterStop, { ...around, place: `${place}/levelAfterStop` })
  quantities.set('recovery', graph.apply(recovery, { pumpingLevel, levelAfterStop: after.level, standingLevel }))
}

/** Suction side of a booster: suction head, and lift where it draws from an open surface. */
export function measureBoosterSuction(
  run: Run,
  place: string,
  visit: Visit,
  facts: Facts,
  quantities: Quantities,
  around: Surroundings,
): SuctionMeasured | undefined {
  if (visit.sheet.kind !== 'booster' || run.suction === undefined) return undefined
  const suction = measureSuction(run.suction, `${place}/suction`, visit, facts, around)
  quantities.set('suction-head', suction.head)
  if (suction.lift !== undefined) quantities.set('lift', suction.lift)
  return suction
}

/** Area at the discharge tap: its own diameter where that differs from the measuring section. */
function tapArea(run: Run, place: string, area: Node | undefined, { graph }: Visit, around: Surroundings) {
  const own = run.dischargePressure?.insideDiameterAtTap
  if (own === undefined) return area
  const at = `${place}/dischargePressure/insideDiameterAtTap`
  const diameter = graph.leaf(TAP_DIAMETER, at, own)
  widenDiameter(diameter, false, at, around)
  return graph.apply(pipeArea, { diameter })
}

/** Head without velocity heads: lift and gauge head, or the difference of the two gauges of a booster. */
function measureFieldHead({ graph }: Visit, quantities: Quantities, suction: SuctionMeasured | undefined) {
  const gauge = quantities.get('gauge-head')
  if (gauge === undefined) return undefined
  if (suction?.piped) return graph.apply(boosterFieldHead, { gaugeHead: gauge, suctionHead: suction.head })
  const raised = quantities.get('lift')
  return raised === undefined ? undefined : graph.apply(fieldHead, { lift: raised, gaugeHead: gauge })
}

/** Field head, velocity heads and total dynamic head, as far as the readings go. `area` is that of the flow section. */
export function measureHeads(
  run: Run,
  place: string,
  visit: Visit,
  facts: Facts,
  quantities: Quantities,
  suction: SuctionMeasured | undefined,
  area: Node | undefined,
  around: Surroundings,
): void {
  const { graph } = visit
  const field = measureFieldHead(visit, quantities, suction)
  if (field !== undefined) quantities.set('field-head', field)
  const flow = quantities.get('flow')
  if (flow === undefined) return
  const atTap = tapArea(run, place, area, visit, around)
  facts.tapDiameterMissing = atTap === undefined || (suction?.piped === true && suction.tapArea === undefined)
  if (atTap === undefined) return
  const velocity = graph.apply(pipeVelocity, { flow, area: atTap })
  const head = graph.apply(velocityHead, { velocity })
  quantities.set('pipe-velocity', velocity)
  quantities.set('velocity-head', head)
  if (!suction?.piped) {
    if (field !== undefined)
      quantities.set('total-dynamic-head', graph.apply(totalDynamicHead, { fieldHead: field, velocityHead: head }))
    return
  }
  if (suction.tapArea === undefined) return
  const suctionVelocityHead = graph.apply(velocityHead, {
    velocity: graph.apply(pipeVelocity, { flow, area: suction.tapArea }),
  })
  quantities.set('suction-velocity-head', suctionVelocityHead)
  if (field !== undefined)
    quantities.set(
      'total-dynamic-head',
      graph.apply(boosterTotalHead, { fieldHead: field, velocityHead: head, suctionVelocityHead }),
    )
}
