import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const currentUnbalanceHigh = defineFinding({
  id: 'current-unbalance-high',
  group: 'power',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'A line current lies further from the mean than the limit.',
  why: 'The motor heats, or a clamp was misread.',
  needs: ['currentUnbalance'],
  limits: ['maxCurrentUnbalance'],
  raised: ({ currentUnbalance }, limits) => exceeds(currentUnbalance, limits.maxCurrentUnbalance),
  message: ({ currentUnbalance }, say, limits) =>
    `One of the currents read by qualified staff lies ${say.percent(currentUnbalance)} from their mean; up to ${say.percent(limits.maxCurrentUnbalance)} is usual.`,
  remedy: 'Have the currents read again, and the supply checked, by qualified staff.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: fromMemory(
    'NEMA MG 1',
    '14.36: current unbalance is about 6 to 10 times the voltage unbalance at rated load',
  ),
  examples: {
    passes: [{ currentUnbalance: 0.1 }, { currentUnbalance: 0.012 }],
    raises: [{ currentUnbalance: 0.11 }],
  },
})
