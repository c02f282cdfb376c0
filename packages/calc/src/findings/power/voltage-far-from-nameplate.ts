import { defineFinding, exceeds } from '../finding.ts'

export const voltageFarFromNameplate = defineFinding({
  id: 'voltage-far-from-nameplate',
  group: 'power',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'context',
  rule: 'The mean voltage differs from the rated voltage by more than the limit.',
  why: 'Motors are built for a band around their voltage; or the plate has several voltages.',
  needs: ['meanVoltage', 'ratedVoltage'],
  limits: ['maxVoltageDeviation'],
  raised: ({ meanVoltage, ratedVoltage }, limits) =>
    exceeds(Math.abs(meanVoltage / ratedVoltage - 1), limits.maxVoltageDeviation),
  message: ({ meanVoltage, ratedVoltage }, say) =>
    `The mean voltage is ${say.number(meanVoltage)} V; the record of the plate says ${say.number(ratedVoltage)} V.`,
  remedy: 'Compare with the other voltages of the plate on record; have the connection checked by qualified staff.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: {
    document: 'NEMA Condensed MG 1-2011',
    place: '9.9.1 (MG 1-12.44.1): plus or minus 10 percent of rated voltage',
    basis: 'looked up',
  },
  examples: {
    passes: [
      { meanVoltage: 506, ratedVoltage: 460 },
      { meanVoltage: 479, ratedVoltage: 460 },
    ],
    raises: [
      { meanVoltage: 510, ratedVoltage: 460 },
      { meanVoltage: 230, ratedVoltage: 460 },
    ],
  },
})
