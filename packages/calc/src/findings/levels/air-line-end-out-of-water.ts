import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const airLineEndOutOfWater = defineFinding({
  id: 'air-line-end-out-of-water',
  group: 'levels',
  severity: 'reject',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The air line shows no pressure while pumping.',
  why: 'The end of the line is above the water, or the line leaks: the level is only known to be deeper.',
  needs: ['airLineColumn', 'airLineLength'],
  limits: ['minAirLineColumn'],
  raised: ({ airLineColumn }, limits) => !exceeds(airLineColumn, limits.minAirLineColumn),
  message: ({ airLineColumn, airLineLength }, say, limits) =>
    `The air line shows ${say.length(airLineColumn)} of water while pumping; more than ${say.length(limits.minAirLineColumn)} is expected. Its end at ${say.length(airLineLength)} is not under water, or it leaks.`,
  remedy:
    'Blow the line free again, with no more pressure than line and gauge stand, and watch whether the needle holds, or read the level by another means.',
  cautions: ['compressed-gas', 'pressure-and-hammer'],
  source: commonPractice('a line that does not hold its pressure tells nothing'),
  spoils: ['pumping-water-level'],
  examples: {
    passes: [
      { airLineColumn: 0.31, airLineLength: 64 },
      { airLineColumn: 19, airLineLength: 64 },
    ],
    raises: [
      { airLineColumn: 0.3048, airLineLength: 64 },
      { airLineColumn: 0, airLineLength: 64 },
      { airLineColumn: -0.4, airLineLength: 64 },
    ],
  },
})
