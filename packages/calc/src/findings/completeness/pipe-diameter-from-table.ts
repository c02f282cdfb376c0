import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pipeDiameterFromTable = defineFinding({
  id: 'pipe-diameter-from-table',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*/flow/pipe/diameterBasis',
  decidedFrom: 'sheet',
  rule: 'The inside diameter was taken from a pipe table and not measured.',
  why: 'Wall, lining and scale differ from the table, and one percent of diameter is two percent of flow.',
  needs: ['diameterFromTable'],
  limits: [],
  raised: ({ diameterFromTable }) => diameterFromTable,
  message: ({ pipeDiameter }, say) =>
    pipeDiameter === undefined
      ? 'The inside diameter was taken from a pipe table; a measured one is expected.'
      : `The inside diameter of ${say.shortLength(pipeDiameter)} was taken from a pipe table; a measured one is expected. The uncertainty of flow was widened.`,
  remedy:
    'Measure the outside diameter and the wall thickness, or the inside diameter where the pipe can be measured safely.',
  cautions: ['rotating-shaft'],
  source: ourJudgement('wall tolerance and scale of an old irrigation pipe commonly make one percent of the diameter'),
  examples: {
    passes: [{ diameterFromTable: false, pipeDiameter: 0.254 }],
    raises: [{ diameterFromTable: true, pipeDiameter: 0.254 }, { diameterFromTable: true }],
  },
})
