import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const unitLooksMistaken = defineFinding({
  id: 'unit-looks-mistaken',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'A reading lies outside the usual span of its kind, and inside it in another usual unit.',
  why: 'Bar taken for psi or millimetres for inches give tidy but wrong results.',
  needs: ['unitDoubt'],
  limits: [],
  raised: ({ unitDoubt }) => unitDoubt !== undefined,
  message: ({ unitDoubt }) => `${unitDoubt}.`,
  remedy:
    'Look at the face of the instrument. If the unit was wrong, submit the sheet with the true one; the unit is never changed for you.',
  source: ourJudgement(
    'the spans are wide enough for any plant; nothing is corrected, because a guess hides the error',
  ),
  examples: {
    passes: [{ unitDoubt: undefined }],
    raises: [{ unitDoubt: 'The inside diameter is given as 254 in, which is unusual; 254 mm would be usual' }],
  },
})
