/** How far another reading of the flow lies from the tested flow. */
import { defineFormula } from '../formula.ts'

/** Difference as a ratio of the tested flow: above zero where the other reading shows more. */
export const relativeFlowDifference = defineFormula({
  id: 'relative-flow-difference',
  title: 'Difference from the tested flow',
  unit: '1',
  inputs: { other: 'm3/s', tested: 'm3/s' },
  expression: 'e = (Q_other − Q) / Q',
  source: {
    document: 'JCGM 200:2012 (VIM)',
    place: '2.16, measurement error: measured value less reference value',
    basis: 'from memory',
  },
  symbols: { other: ['Q_other', 'flow by the other reading'], tested: ['Q', 'flow that the test goes by'] },
  validity: 'Both read the same water in the same run, and the tested flow is not zero.',
  value: ({ other, tested }) => (other - tested) / tested,
  partials: ({ other, tested }) => ({ other: 1 / tested, tested: -other / (tested * tested) }),
})
