import { defineFinding, exceeds } from '../finding.ts'

export const voltageUnbalanceExtreme = defineFinding({
  id: 'voltage-unbalance-extreme',
  group: 'power',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The voltages are so unbalanced that a motor should not run.',
  why: 'The motor is in danger, a phase is lost, or a voltage was misread; the test is not at normal conditions.',
  needs: ['voltageUnbalance'],
  limits: ['maxVoltageUnbalanceHard'],
  raised: ({ voltageUnbalance }, limits) => exceeds(voltageUnbalance, limits.maxVoltageUnbalanceHard),
  message: ({ voltageUnbalance }, say, limits) =>
    `One of the voltages lies ${say.percent(voltageUnbalance)} from their mean; beyond ${say.percent(limits.maxVoltageUnbalanceHard)} a motor should not run.`,
  remedy:
    'Tell whoever runs the plant at once; stopping it is theirs to decide. The supply is checked by qualified staff before anything is read again.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: {
    document: 'UFGS-16222A, US Army Corps of Engineers',
    place: 'note before 2.1.1, citing NEMA MG 1 paragraph 21.81: should never exceed 5 percent',
    basis: 'looked up',
  },
  silences: ['voltage-unbalance-high'],
  examples: {
    passes: [{ voltageUnbalance: 0.05 }],
    raises: [{ voltageUnbalance: 0.051 }],
  },
})
