import { defineFinding } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const oilOnWater = defineFinding({
  id: 'oil-on-water',
  group: 'levels',
  severity: 'note',
  place: '/runs/*/pumpingLevel/oil',
  decidedFrom: 'sheet',
  rule: 'Oil floats on the water of the well.',
  why: 'A probe answers below the oil and sound above it; oil in a well is also a matter for its owner.',
  needs: ['oilOnWater'],
  limits: [],
  raised: ({ oilOnWater: seen }) => seen,
  message: () => 'Oil is reported on the water of the well.',
  remedy: 'Tell the owner.',
  cautions: ['well-and-contamination', 'well-head'],
  source: fromMemory('US Geological Survey, Techniques and Methods 1-A1, GWPD 4', 'material that floats on the water'),
  examples: { passes: [{ oilOnWater: false }], raises: [{ oilOnWater: true }] },
})
