import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const ultrasonicLiningNotMeasured = defineFinding({
  id: 'ultrasonic-lining-not-measured',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/lining',
  decidedFrom: 'sheet',
  rule: 'A clamp-on meter sits on a pipe with a lining whose thickness was not given.',
  why: 'The lining takes area from the water and bends the path of the sound.',
  needs: ['liningNotMeasured'],
  limits: [],
  raised: ({ liningNotMeasured }) => liningNotMeasured,
  message: () => 'The pipe has a lining, and its thickness was not given; the uncertainty of flow was widened.',
  remedy: 'Take the thickness from the record of the pipe, or measure it where a cut end is at hand.',
  source: ourJudgement('a few millimetres of mortar are a few percent of the area of a small pipe'),
  examples: { passes: [{ liningNotMeasured: false }], raises: [{ liningNotMeasured: true }] },
})
