import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const pipeDiameterMissing = defineFinding({
  id: 'pipe-diameter-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/flow/pipe/insideDiameters',
  decidedFrom: 'sheet',
  rule: 'The flow method needs the area of the pipe, and no inside diameter was given.',
  why: 'Velocity is not flow until it has an area, and area grows with the square of the diameter.',
  needs: ['pitotTraverse'],
  limits: [],
  raised: ({ pitotTraverse, pipeDiameter }) => pitotTraverse && pipeDiameter === undefined,
  message: () =>
    'The pipe was traversed, but its inside diameter was not given; flow is velocity times the area of the pipe.',
  remedy:
    'Measure the outside diameter and the wall thickness at the section that was traversed, or the inside diameter where that can be done safely.',
  source: commonPractice('flow is mean velocity times area'),
  spoils: ['flow'],
  examples: {
    passes: [{ pitotTraverse: true, pipeDiameter: 0.254 }, { pitotTraverse: false }],
    raises: [{ pitotTraverse: true }],
  },
})
