import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const nameplateMissing = defineFinding({
  id: 'nameplate-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/plant',
  decidedFrom: 'context',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The rated power of the motor is not on record.',
  why: 'The load of the motor is the best check on the constant and the multiplier of the meter.',
  needs: ['electric'],
  limits: [],
  raised: ({ electric, ratedPower }) => electric && ratedPower === undefined,
  message: () =>
    'The rated power of the motor is not on record, so its load could not be compared with the power read.',
  remedy:
    'Add the nameplate to the plant’s record, as far as it can be read from outside with guards and covers in place; or record that it can’t be read.',
  absenceOf: 'nameplate',
  cautions: ['electrical-panel'],
  source: commonPractice('power read is compared with the nameplate of the motor'),
  examples: {
    passes: [{ electric: true, ratedPower: 74_570 }, { electric: false }],
    raises: [{ electric: true }],
  },
})
