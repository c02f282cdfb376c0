/** Thresholds of edition 2026-1 for air lines and for the water at the pump. A value at its limit passes. */
import { limit } from './limit.ts'
import { judged, practice } from './sources.ts'

export const limitsOfLevels = {
  minAirLineColumn: limit(
    'Least column of water over the end of an air line',
    1,
    'ft',
    'length',
    practice('a line that does not hold its pressure tells nothing'),
  ),
  maxAirLineSpread: limit(
    'Largest spread of repeats of an air line, as water',
    1,
    'ft',
    'length',
    judged('twice the usual uncertainty of an air line'),
  ),
  minSuctionMargin: limit(
    'Least margin over the suction head that the pump asks for',
    2,
    'ft',
    'length',
    judged('at the figure itself head has already dropped by 3 percent'),
  ),
}
