import { defineFinding, exceeds } from '../finding.ts'

export const voltageUnbalanceHigh = defineFinding({
  id: 'voltage-unbalance-high',
  group: 'power',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'A voltage lies further from the mean than the recommended limit.',
  why: 'Motors are derated above one percent; losses and heating rise.',
  needs: ['voltageUnbalance'],
  limits: ['maxVoltageUnbalance', 'maxVoltageUnbalanceHard'],
  raised: ({ voltageUnbalance }, limits) =>
    exceeds(voltageUnbalance, limits.maxVoltageUnbalance) && !exceeds(voltageUnbalance, limits.maxVoltageUnbalanceHard),
  message: ({ voltageUnbalance }, say, limits) =>
    `One of the voltages lies ${say.percent(voltageUnbalance)} from their mean; ${say.percent(limits.maxVoltageUnbalance)} is the recommended limit.`,
  remedy: 'Have the voltages read again at the motor by qualified staff, and tell the grower and the utility.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: {
    document: 'UFGS-16222A, US Army Corps of Engineers',
    place: 'note before 2.1.1, citing NEMA MG 1 paragraph 21.81: 1 percent recommended',
    basis: 'looked up',
  },
  examples: {
    passes: [{ voltageUnbalance: 0.01 }, { voltageUnbalance: 0.002 }, { voltageUnbalance: 0.06 }],
    raises: [{ voltageUnbalance: 0.011 }, { voltageUnbalance: 0.05 }],
  },
})
