import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const runsNotOnOneCurve = defineFinding({
  id: 'runs-not-on-one-curve',
  group: 'results',
  severity: 'caution',
  place: '/runs',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'Runs at one speed do not lie on one falling curve of head over flow.',
  why: 'One pump at one speed gives less head at more flow.',
  needs: ['curveConflict'],
  limits: [],
  raised: ({ curveConflict }) => curveConflict !== undefined,
  message: ({ curveConflict }) => `${curveConflict}; more flow goes with less head.`,
  remedy: 'Look for an error in one of the runs.',
  source: commonPractice('head falls with flow; the tolerance of two percent is our judgement'),
  examples: {
    passes: [{ curveConflict: undefined }],
    raises: [{ curveConflict: 'Run 1 gave 900 gpm at 210 ft, run 2 gave 700 gpm at 230 ft' }],
  },
})
