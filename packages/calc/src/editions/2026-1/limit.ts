/** How a threshold of an edition is written. */
import type { Source } from '../../formula.ts'
import type { Dimension } from '../../units.ts'

export const limit = (title: string, value: number, unit: string, dimension: Dimension, source: Source) => ({
  title,
  value,
  unit,
  dimension,
  source,
})
