import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const profileFactorMissing = defineFinding({
  id: 'profile-factor-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/flow/profileFactor',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The velocity of an insertion meter was read without its profile factor.',
  why: 'The velocity at one place is not the mean over the pipe.',
  needs: ['insertionMeter'],
  limits: [],
  raised: ({ insertionMeter, profileFactorGiven }) => insertionMeter && profileFactorGiven !== true,
  message: () =>
    'The velocity of an insertion meter was read, but no profile factor was given; the mean velocity can’t be told from it.',
  remedy:
    'Give the factor from an earlier traverse at this very place, or that of the meter’s certificate for its depth; or measure flow by another method.',
  source: commonPractice('an insertion meter is given its profile factor'),
  spoils: ['flow'],
  examples: {
    passes: [{ insertionMeter: true, profileFactorGiven: true }, { insertionMeter: false }],
    raises: [{ insertionMeter: true, profileFactorGiven: false }, { insertionMeter: true }],
  },
})
