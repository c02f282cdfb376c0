import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const airLineLengthUnverified = defineFinding({
  id: 'air-line-length-unverified',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel/airLineLength',
  decidedFrom: 'sheet',
  rule: 'The length of the air line was not checked with a sounder.',
  why: 'The error of the length is the error of the lift.',
  needs: ['airLineLengthChecked', 'airLineLength'],
  limits: [],
  raised: ({ airLineLengthChecked }) => !airLineLengthChecked,
  message: ({ airLineLength }, say) =>
    `The length of the air line, ${say.length(airLineLength)}, was not checked with a sounder.`,
  remedy:
    'Where the sounding access can be reached safely, sound the standing level once; the length follows from it and the pressure.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('an air line is calibrated at the standing level'),
  examples: {
    passes: [{ airLineLengthChecked: true, airLineLength: 64 }],
    raises: [{ airLineLengthChecked: false, airLineLength: 64 }],
  },
})
