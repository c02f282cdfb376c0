/** Regions of the basin, and how the standing water falls in each. */
import { DAYS_OF_YEAR } from './reading.ts'

export interface Region {
  readonly code: string
  /** Usual depth in m of the standing water below the datum of a well, on the first day. */
  readonly standingDepth: number
  /** How far it falls in a year, in m; negative where it rises. */
  readonly fallPerYear: number
  /** Half of the swing between winter and the end of summer, in m. */
  readonly swing: number
}

/** The water stands lowest at the end of September. */
const LOWEST_DAY_OF_YEAR = 270

/** Depth in m of the standing water on a day, in a well where it was `depth` on the first. */
export function standingDepth(region: Region, depth: number, firstDay: number, day: number): number {
  const season = (at: number) => Math.cos((2 * Math.PI * ((at % DAYS_OF_YEAR) - LOWEST_DAY_OF_YEAR)) / DAYS_OF_YEAR)
  const fallen = (region.fallPerYear * (day - firstDay)) / DAYS_OF_YEAR
  return Math.max(1, depth + fallen + region.swing * (season(day) - season(firstDay)))
}
