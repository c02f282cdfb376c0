/** Net positive suction head available at the first impeller. */
import type { Water } from './density.ts'
import { headAtImpeller } from './formulas/head-at-impeller.ts'
import { npshAvailable } from './formulas/npsh-available.ts'
import { submergence } from './formulas/submergence.ts'
import { vapourPressure } from './formulas/vapour-pressure.ts'
import type { Node } from './graph.ts'
import type { Run } from './sheet.ts'
import type { SuctionMeasured } from './suction.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import type { Quantities } from './visit.ts'

const BAROMETRIC = leafKind('Pressure of the air', 'pressure')
const BOWL_DEPTH = leafKind('Depth of the bowls below the level datum', 'length')
const IMPELLER = leafKind('Eye of the impeller above the discharge centre', 'length')
const STANDING_STILL = leafKind('Velocity head at an open surface', 'length')
const ZERO = { value: 0, unit: 'm' } as const

/** Water over the bowls of a well; undefined where their depth is not on record. */
function overBowls(quantities: Quantities, around: Surroundings): Node | undefined {
  const { graph, equipment } = around
  const pumpingLevel = quantities.get('pumping-water-level')
  if (pumpingLevel === undefined || !equipment?.bowlDepth) return undefined
  const at = 'plant/equipment/bowlDepth'
  const bowlDepth = graph.leaf(BOWL_DEPTH, at, equipment.bowlDepth)
  widen(around, 'depth-on-record', 'measure', at, at, bowlDepth, 1)
  return graph.apply(submergence, { bowlDepth, pumpingLevel })
}

/** Head at the eye of a booster; undefined where its height is not on record. */
function atEye(quantities: Quantities, suction: SuctionMeasured, around: Surroundings): Node | undefined {
  const { graph, equipment } = around
  if (!equipment?.impellerAboveDischargeCentre) return undefined
  const velocityHead = suction.piped
    ? quantities.get('suction-velocity-head')
    : graph.leaf(STANDING_STILL, 'edition/open-surface', ZERO)
  if (velocityHead === undefined) return undefined
  const at = 'plant/equipment/impellerAboveDischargeCentre'
  const impellerHeight = graph.leaf(IMPELLER, at, equipment.impellerAboveDischargeCentre)
  widen(around, 'gauge-height', 'measure', at, at, impellerHeight, 1)
  return graph.apply(headAtImpeller, { suctionHead: suction.head, velocityHead, impellerHeight })
}

export function measureNpsh(
  run: Run,
  place: string,
  quantities: Quantities,
  water: Water,
  suction: SuctionMeasured | undefined,
  around: Surroundings,
): void {
  const { graph, edition } = around
  const head = suction === undefined ? overBowls(quantities, around) : atEye(quantities, suction, around)
  if (head === undefined) return
  const read = run.barometricPressure
  const at = read === undefined ? 'edition/barometric-pressure-not-read' : `${place}/barometricPressure`
  const barometricPressure = graph.leaf(
    BAROMETRIC,
    at,
    read ?? { value: edition.settings.barometricPressureNotReadPa, unit: 'Pa' },
  )
  const name = read === undefined ? 'barometric-pressure-not-read' : 'barometric-pressure'
  widen(around, name, 'measure', at, at, barometricPressure, 1)
  quantities.set(
    'npsh-available',
    graph.apply(npshAvailable, {
      barometricPressure,
      vapourPressure: graph.apply(vapourPressure, { temperature: water.temperature }),
      density: water.density,
      head,
    }),
  )
}
