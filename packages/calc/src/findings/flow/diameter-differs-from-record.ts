import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const diameterDiffersFromRecord = defineFinding({
  id: 'diameter-differs-from-record',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/pipe/insideDiameters',
  decidedFrom: 'context',
  rule: 'The inside diameter differs from the plant’s record by more than the limit.',
  why: 'Twice the difference goes into flow, and the plant’s history can’t be compared.',
  needs: ['pipeDiameter', 'recordPipeDiameter'],
  limits: ['maxDiameterDifference'],
  raised: ({ pipeDiameter, recordPipeDiameter }, limits) =>
    exceeds(Math.abs(pipeDiameter - recordPipeDiameter), limits.maxDiameterDifference * recordPipeDiameter),
  message: ({ pipeDiameter, recordPipeDiameter }, say, limits) =>
    `The inside diameter is given as ${say.shortLength(pipeDiameter)}; the record has ${say.shortLength(recordPipeDiameter)}, and within ${say.percent(limits.maxDiameterDifference)} is expected.`,
  remedy: 'Measure again. If the pipe was replaced or lined, or the section is another one, record it.',
  source: ourJudgement('three percent of the diameter is six percent of flow'),
  examples: {
    passes: [
      { pipeDiameter: 0.2575, recordPipeDiameter: 0.25 },
      { pipeDiameter: 0.2425, recordPipeDiameter: 0.25 },
    ],
    raises: [
      { pipeDiameter: 0.258, recordPipeDiameter: 0.25 },
      { pipeDiameter: 0.242, recordPipeDiameter: 0.25 },
    ],
  },
})
