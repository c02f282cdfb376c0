import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const instrumentOutsideItsRange = defineFinding({
  id: 'instrument-outside-its-range',
  group: 'identity',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'context',
  rule: 'A reading lies outside the range for which the instrument is certified.',
  why: 'The accuracy of the instrument is not known there.',
  needs: ['outsideRange'],
  limits: [],
  raised: ({ outsideRange }) => outsideRange !== undefined,
  message: ({ outsideRange }) => `${outsideRange}.`,
  remedy: 'Repeat the reading with an instrument of fitting range. A reading in a panel is for qualified staff only.',
  source: commonPractice('certificates hold inside their range only'),
  examples: {
    passes: [{ outsideRange: undefined }],
    raises: [
      { outsideRange: 'A rate is written as 1650 gpm; the instrument ultra-2 is certified from 20 to 1500 gpm' },
    ],
  },
})
