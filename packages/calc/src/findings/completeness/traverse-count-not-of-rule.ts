import { counted } from '../counted.ts'
import { defineFinding } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const traverseCountNotOfRule = defineFinding({
  id: 'traverse-count-not-of-rule',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A diameter has a number of points for which the rule of the traverse has no positions.',
  why: 'The logarithmic rules give each point the same weight only at their own places.',
  needs: ['countNotOfRule'],
  limits: [],
  raised: ({ countNotOfRule }) => countNotOfRule,
  message: ({ fewestPoints }) =>
    `A diameter was traversed at ${fewestPoints === undefined ? 'a number of points' : counted(fewestPoints, 'point')} that the rule does not have; a logarithmic rule has 6, 8 or 10 points on a diameter. Flow is not reported.`,
  remedy: 'Name the rule by which the points were spaced, or traverse again at the places of the rule.',
  cautions: ['drilling-pressurised-pipe'],
  source: fromMemory('ISO 3966:2008', 'positions for three to five points on each radius'),
  spoils: ['flow'],
  examples: {
    passes: [{ countNotOfRule: false }],
    raises: [{ countNotOfRule: true, fewestPoints: 12 }, { countNotOfRule: true }],
  },
})
