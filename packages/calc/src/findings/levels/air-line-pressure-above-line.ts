import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const airLinePressureAboveLine = defineFinding({
  id: 'air-line-pressure-above-line',
  group: 'levels',
  severity: 'reject',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The pressure of the air line corresponds to more water than the line is long.',
  why: 'The water would stand above the gauge; the length or the unit is wrong.',
  needs: ['airLineHighestColumn', 'airLineLength'],
  limits: [],
  raised: ({ airLineHighestColumn, airLineLength }) => exceeds(airLineHighestColumn, airLineLength),
  message: ({ airLineHighestColumn, airLineLength }, say) =>
    `The air line shows ${say.length(airLineHighestColumn)} of water over its end, but it is ${say.length(airLineLength)} long.`,
  remedy: 'Look at the length of the line and at the unit of the gauge.',
  source: commonPractice('water cannot stand above the gauge of an air line; flowing wells have no use for one'),
  spoils: ['pumping-water-level', 'standing-water-level'],
  examples: {
    passes: [
      { airLineHighestColumn: 64, airLineLength: 64 },
      { airLineHighestColumn: 27, airLineLength: 64 },
    ],
    raises: [{ airLineHighestColumn: 64.1, airLineLength: 64 }],
  },
})
