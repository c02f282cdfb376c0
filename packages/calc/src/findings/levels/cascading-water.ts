import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const cascadingWater = defineFinding({
  id: 'cascading-water',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'Water falls down the casing.',
  why: 'Falling water wets a probe above the true level and brings air into the pump.',
  needs: ['cascadingWater'],
  limits: [],
  raised: ({ cascadingWater: heard }) => heard,
  message: () => 'Falling water is reported in the casing; the pumping level may be read too high.',
  remedy: 'Use the air line or a sounding tube, and give repeats.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('sounding tubes are fitted for this'),
  examples: { passes: [{ cascadingWater: false }], raises: [{ cascadingWater: true }] },
})
