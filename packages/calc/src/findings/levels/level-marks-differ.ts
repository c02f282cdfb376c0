import { defineFinding } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const levelMarksDiffer = defineFinding({
  id: 'level-marks-differ',
  group: 'levels',
  severity: 'hold',
  place: '/standingLevel',
  decidedFrom: 'sheet',
  rule: 'Standing and pumping level were read from different measuring points whose heights were not given.',
  why: 'The difference in height goes straight into drawdown.',
  needs: ['standingMark', 'pumpingMark'],
  limits: [],
  raised: ({ standingMark, pumpingMark, markOffsetKnown }) => standingMark !== pumpingMark && markOffsetKnown !== true,
  message: ({ standingMark, pumpingMark }) =>
    `The standing level was read from ${standingMark} and the pumping level from ${pumpingMark}; one measuring point is expected, or the height of each.`,
  remedy: 'Give the height of each measuring point above the level datum, or read both levels from one point.',
  cautions: ['well-and-contamination', 'well-head'],
  source: fromMemory('USGS, Techniques and Methods 1-A1 (2011), GWPD 3', 'one permanent measuring point'),
  examples: {
    passes: [
      { standingMark: 'access-edge', pumpingMark: 'access-edge' },
      { standingMark: 'access-edge', pumpingMark: 'casing-top', markOffsetKnown: true },
    ],
    raises: [
      { standingMark: 'access-edge', pumpingMark: 'casing-top' },
      { standingMark: 'access-edge', pumpingMark: 'casing-top', markOffsetKnown: false },
    ],
  },
})
