import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const levelSeriesTooShort = defineFinding({
  id: 'level-series-too-short',
  group: 'levels',
  severity: 'note',
  place: '/runs/*/pumpingLevel/series',
  decidedFrom: 'sheet',
  rule: 'Too few readings of the pumping level were given to show that it stands.',
  why: 'One reading can’t show whether the well has settled.',
  needs: ['levelReadingCount'],
  limits: ['minLevelReadings'],
  raised: ({ levelReadingCount }, limits) => fallsShort(levelReadingCount, limits.minLevelReadings),
  message: ({ levelReadingCount }, say, limits) =>
    `${counted(levelReadingCount, 'reading')} of the pumping level given; ${say.number(limits.minLevelReadings)} or more show that it is steady.`,
  remedy: 'Give the readings taken while waiting, each with its time.',
  source: commonPractice('the level is read until readings agree'),
  examples: {
    passes: [{ levelReadingCount: 3 }, { levelReadingCount: 5 }],
    raises: [{ levelReadingCount: 1 }, { levelReadingCount: 2 }],
  },
})
