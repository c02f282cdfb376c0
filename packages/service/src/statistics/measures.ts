/**
 * What is added up of a test: whole numbers of a stated unit, so that sums are exact and don't depend on their order.
 *
 * Values are rounded once, to the unit; one that is below nothing or beyond the span is left out of that measure and
 * counted. The units are far below what is measured: a millionth of the efficiency, a tenth of a millimetre of head.
 */

/** Above every value in its unit: squares stay below 2⁵², sums of 2²⁶ tests below 2⁵³. */
export const SPAN = 2 ** 26

export interface Measure {
  readonly id: string
  readonly title: string
  /** SI unit of answers. */
  readonly unit: string
  /** Size of the unit that is counted, in `unit`. */
  readonly step: number
}

const measure = <const Id extends string>(id: Id, title: string, unit: string, step: number) =>
  ({ id, title, unit, step }) as const

export const MEASURES = [
  measure('overall-plant-efficiency', 'Overall plant efficiency', '1', 1e-6),
  measure('flow', 'Flow', 'm3/s', 1e-6),
  measure('total-dynamic-head', 'Total dynamic head', 'm', 1e-4),
  measure('lift', 'Lift', 'm', 1e-4),
  measure('specific-capacity', 'Specific capacity', 'm2/s', 1e-8),
  measure('standing-water-level', 'Standing water level', 'm', 1e-4),
  measure('input-power', 'Input power', 'W', 1),
  measure('energy-per-volume', 'Energy per volume of water', 'J/m3', 1),
  measure('cost-per-volume', 'Energy cost per volume of water', 'currency/m3', 1e-6),
] as const
export type MeasureId = (typeof MEASURES)[number]['id']
export const MEASURE_IDS = MEASURES.map(({ id }) => id) as [MeasureId, ...MeasureId[]]
export const EFFICIENCY = 0

/** Energy is counted in kilowatt-hours, products with it in hundredths of one; water in cubic metres. */
export const JOULES_PER_KWH = 3.6e6
export const PARTS = 100

/** In whole steps; undefined where it is absent, below nothing or beyond the span. */
export function counted(value: number | null | undefined, step: number): number | undefined {
  if (value === null || value === undefined) return undefined
  const steps = Math.round(value / step)
  return steps >= 0 && steps < SPAN ? steps : undefined
}
