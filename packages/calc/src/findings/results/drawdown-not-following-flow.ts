import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const drawdownNotFollowingFlow = defineFinding({
  id: 'drawdown-not-following-flow',
  group: 'results',
  severity: 'caution',
  place: '/runs',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'In a test with several runs, drawdown does not grow with flow.',
  why: 'A level was misread, or one run was not settled.',
  needs: ['drawdownConflict'],
  limits: [],
  raised: ({ drawdownConflict }) => drawdownConflict !== undefined,
  message: ({ drawdownConflict }) => `${drawdownConflict}; more flow goes with more drawdown.`,
  remedy: 'Compare levels and times of the runs.',
  source: commonPractice('drawdown grows with flow'),
  examples: {
    passes: [{ drawdownConflict: undefined }],
    raises: [{ drawdownConflict: 'Run 1 pumped 900 gpm with a drawdown of 20 ft, run 2 pumped 700 gpm with 22 ft' }],
  },
})
