import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const pipeDiameterMissing = defineFinding({
  id: 'pipe-diameter-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/flow/pipe/insideDiameters',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The flow method needs the area of the pipe, and no inside diameter was given.',
  why: 'Velocity is not flow until it has an area, and area grows with the square of the diameter.',
  needs: ['areaNeeded'],
  limits: [],
  raised: ({ areaNeeded, pipeDiameter }) => areaNeeded && pipeDiameter === undefined,
  message: () =>
    'A velocity was measured, but the inside diameter of the pipe was not given; flow is velocity times the area of the pipe.',
  remedy:
    'Measure the outside diameter and the wall thickness at the measuring section, or the inside diameter where that can be done safely.',
  cautions: ['rotating-shaft'],
  source: commonPractice('flow is mean velocity times area'),
  absenceOf: 'pipe-diameter',
  spoils: ['flow'],
  examples: {
    passes: [{ areaNeeded: true, pipeDiameter: 0.254 }, { areaNeeded: false }],
    raises: [{ areaNeeded: true }],
  },
})
