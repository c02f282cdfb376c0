/** From a node of the graph to a reported quantity. */
import type { Result } from './evaluation.ts'
import { isResolved } from './findings/finding.ts'
import type { PreferredUnits } from './preferred-units.ts'
import { QUANTITY_IDS, type QuantityId, quantities } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import type { AnyEdition } from './surroundings.ts'
import type { Uncertainty } from './uncertainty.ts'
import { siUnit, unitSize } from './units.ts'

/** Decimals that show the half-width of an interval with two significant digits, 0 to 20. */
export function decimalsFor(halfWidth: number): number {
  if (!(halfWidth > 0)) return 6
  let decimals = 0
  let scaled = halfWidth
  // From 9.95 on, two digits of it are written 10.
  while (scaled < 9.95 && decimals < 20) {
    scaled *= 10
    decimals++
  }
  return decimals
}

interface UnitsOfResult {
  readonly si: string
  readonly shown: string
  /** Size in SI of one unit shown. */
  readonly size: number
}

/** Units of every quantity by system of units. */
const declared = Object.fromEntries(
  QUANTITY_IDS.map((id) => {
    const { dimension, us, metric } = quantities[id]
    const unitsAs = (shown: string): UnitsOfResult => ({
      si: siUnit(dimension),
      shown,
      size: unitSize(shown, dimension),
    })
    return [id, { us: unitsAs(us), metric: unitsAs(metric) }]
  }),
) as Readonly<Record<QuantityId, Readonly<Record<PreferredUnits['system'], UnitsOfResult>>>>

/** Cost is in the currency of the rate: its units are made, not declared. */
function unitsOfResult(quantity: QuantityId, { system }: PreferredUnits, sheet: Sheet): UnitsOfResult {
  const units = declared[quantity][system]
  if (quantity !== 'cost-per-volume') return units
  const currency = sheet.economics?.energyRate?.unit.slice(0, 3) ?? ''
  return { si: `${currency}/m3`, shown: `${currency}/${units.shown}`, size: 1 / units.size }
}

export function resultOf(
  run: number,
  quantity: QuantityId,
  value: number,
  uncertainty: Uncertainty,
  units: PreferredUnits,
  sheet: Sheet,
): Result {
  const { si, shown, size } = unitsOfResult(quantity, units, sheet)
  const result: Result = {
    run,
    quantity,
    value,
    unit: si,
    standardUncertainty: uncertainty.standard,
    expandedUncertainty: uncertainty.expanded,
    coverageFactor: uncertainty.coverageFactor,
    shown: {
      value: value / size,
      unit: shown,
      expandedUncertainty: uncertainty.expanded / size,
      decimals: decimalsFor(uncertainty.expanded / size),
    },
  }
  if (uncertainty.degreesOfFreedom !== Infinity) result.degreesOfFreedom = uncertainty.degreesOfFreedom
  return result
}

/** Quantities that may be near zero without being badly known; a share of themselves says nothing. */
const MAY_BE_SMALL: ReadonlySet<QuantityId> = new Set<QuantityId>([
  'drawdown',
  'flow-difference',
  'growers-meter-error',
  'lift',
  'gauge-head',
  'velocity-head',
  'standing-water-level',
  'pumping-water-level',
  'timing-spread',
  'pumping-level-trend',
  'standing-level-trend',
  'recovery',
  'column-friction',
  'npsh-available',
])

/** Why a result is not reported for its own uncertainty, if it is not. `drawdown` is that of the same run. */
export function tooUncertain(result: Result, drawdown: Result | undefined, edition: AnyEdition): string | undefined {
  if (result.quantity === 'specific-capacity' && drawdown !== undefined) {
    // Only where drawdown stands clear of its own uncertainty.
    const { drawdownCoverage } = edition.limits
    if (!isResolved(drawdown.value, drawdown.standardUncertainty, drawdownCoverage.si)) return 'not-resolved'
  }
  if (MAY_BE_SMALL.has(result.quantity)) return undefined
  const relative = result.expandedUncertainty / Math.abs(result.value)
  return relative > edition.limits.maxRelative.si ? 'too-uncertain' : undefined
}
