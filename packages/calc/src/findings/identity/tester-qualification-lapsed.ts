import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const testerQualificationLapsed = defineFinding({
  id: 'tester-qualification-lapsed',
  group: 'identity',
  severity: 'hold',
  place: '/tester',
  decidedFrom: 'context',
  rule: 'The tester held no qualification in force on the day of the test.',
  why: 'Who relies on the test may ask for a qualified tester; a gap has to be judged by a person.',
  needs: ['qualifiedOnDay'],
  limits: [],
  raised: ({ qualifiedOnDay }) => !qualifiedOnDay,
  message: ({ qualifiedUntil }) =>
    qualifiedUntil === undefined
      ? 'No qualification of the tester is on record; one in force on the day of the test is expected.'
      : `No qualification of the tester was in force on the day of the test; the latest on record ends on ${qualifiedUntil}.`,
  remedy:
    'Add the qualification to the record if there is one; otherwise ask whoever relies on the test whether it may stand.',
  source: ourJudgement('days are compared, first and last day included; which qualifications count is for a rule set'),
  examples: {
    passes: [{ qualifiedOnDay: true, qualifiedUntil: '2027-03-31' }],
    raises: [{ qualifiedOnDay: false, qualifiedUntil: '2026-03-31' }, { qualifiedOnDay: false }],
  },
})
