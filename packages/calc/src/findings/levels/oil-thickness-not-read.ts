import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const oilThicknessNotRead = defineFinding({
  id: 'oil-thickness-not-read',
  group: 'levels',
  severity: 'hold',
  place: '/runs/*/pumpingLevel/oil',
  decidedFrom: 'sheet',
  rule: 'Oil floats on the water and its thickness was not read.',
  why: 'The level stands as found; the oil may hide several feet of it.',
  needs: ['oilOnWater', 'oilThicknessRead'],
  limits: [],
  raised: ({ oilOnWater, oilThicknessRead }) => oilOnWater && !oilThicknessRead,
  message: () => 'Oil is reported on the water without its thickness, so the level of the water itself is not known.',
  remedy:
    'Where the access can be reached safely, read both faces of the oil, by paste and by probe, or use an air line.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('shaft oil of many seasons stands several feet deep'),
  examples: {
    passes: [
      { oilOnWater: true, oilThicknessRead: true },
      { oilOnWater: false, oilThicknessRead: false },
    ],
    raises: [{ oilOnWater: true, oilThicknessRead: false }],
  },
})
