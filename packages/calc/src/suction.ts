/** The suction side of a booster: suction head, counted from the discharge centre, and the lift from an open surface. */
import type { Facts } from './findings/facts.ts'
import { widenDiameter } from './flow/pipe.ts'
import { gaugeHead } from './formulas/gauge-head.ts'
import { liftFromSurface } from './formulas/lift-from-surface.ts'
import { pipeArea } from './formulas/pipe-area.ts'
import { pressureHead } from './formulas/pressure-head.ts'
import { measureGauge, SUCTION_GAUGE } from './gauge.ts'
import type { Node } from './graph.ts'
import type { OpenSurface, Suction, SuctionGauge } from './suction-readings.ts'
import { instrumentOf, leafKind, type Surroundings, widen } from './surroundings.ts'
import { toSi } from './units.ts'
import type { Visit } from './visit.ts'

const SURFACE = leafKind('Water surface above the discharge centre', 'length')
const TAP_DIAMETER = leafKind('Inside diameter at the suction tap', 'length')

export interface SuctionMeasured {
  /** Suction head above the discharge centre in m; negative where the pump lifts. */
  readonly head: Node
  /** Lift from an open surface in m. */
  readonly lift: Node | undefined
  /** Area of the suction pipe at its tap in m², where water already moves when it enters the plant. */
  readonly tapArea: Node | undefined
  /** True if the plant begins at a suction tap, so that a velocity head is subtracted. */
  readonly piped: boolean
}

/** Head that a vacuum gauge beside an open surface means, in m above the discharge centre: for a finding only. */
function headOfCheck(check: NonNullable<OpenSurface['vacuumCheck']>, { graph }: Visit, density: Node): number {
  const zero = check.gaugeZero === undefined ? 0 : toSi(check.gaugeZero, 'pressure')
  const height = check.gaugeHeightAboveDischargeCentre
  const column = pressureHead.value({
    pressure: toSi(check.reading, 'pressure') - zero,
    density: graph.values[density]!,
  })
  return column + (height === undefined ? 0 : toSi(height, 'length'))
}

function measureSurface(
  suction: OpenSurface,
  place: string,
  visit: Visit,
  facts: Facts,
  density: Node,
): SuctionMeasured {
  const { graph } = visit
  const at = `${place}/waterSurfaceAboveDischargeCentre`
  const head = graph.leaf(SURFACE, at, suction.waterSurfaceAboveDischargeCentre)
  widen(visit, 'gauge-height', 'measure', at, at, head, 1)
  facts.sourceSurfaceHeight = graph.values[head]!
  if (suction.vacuumCheck !== undefined) {
    facts.suctionPressure = toSi(suction.vacuumCheck.reading, 'pressure')
    facts.suctionHeadFromGauge = headOfCheck(suction.vacuumCheck, visit, density)
  }
  return { head, lift: graph.apply(liftFromSurface, { suctionHead: head }), tapArea: undefined, piped: false }
}

function measureSuctionGauge(
  suction: SuctionGauge,
  place: string,
  visit: Visit,
  facts: Facts,
  around: Surroundings,
): SuctionMeasured {
  const { graph, sheet } = visit
  const code = instrumentOf(suction.reading, sheet.instruments?.suctionPressure)
  const { pressure, gaugeHeight } = measureGauge(suction, place, code, SUCTION_GAUGE, visit)
  facts.suctionPressure = graph.values[pressure]!
  facts.suctionGaugeRead = true
  if (gaugeHeight !== undefined) facts.suctionGaugeHeight = graph.values[gaugeHeight]!
  const column = graph.apply(pressureHead, { pressure, density: around.density })
  const head = gaugeHeight === undefined ? column : graph.apply(gaugeHead, { pressureHead: column, gaugeHeight })
  if (suction.insideDiameterAtTap === undefined) return { head, lift: undefined, tapArea: undefined, piped: true }
  const at = `${place}/insideDiameterAtTap`
  const diameter = graph.leaf(TAP_DIAMETER, at, suction.insideDiameterAtTap)
  widenDiameter(diameter, false, at, around)
  return { head, lift: undefined, tapArea: graph.apply(pipeArea, { diameter }), piped: true }
}

/** Brings the suction side into the graph. */
export function measureSuction(
  suction: Suction,
  place: string,
  visit: Visit,
  facts: Facts,
  around: Surroundings,
): SuctionMeasured {
  return suction.method === 'open-surface'
    ? measureSurface(suction, place, visit, facts, around.density)
    : measureSuctionGauge(suction, place, visit, facts, around)
}
