import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const powerFactorMissing = defineFinding({
  id: 'power-factor-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/power/powerFactor',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'Voltage and current were read without a power factor.',
  why: 'Voltage times current is apparent power; a guessed factor moves efficiency by ten percent and more.',
  needs: ['voltsAmps'],
  limits: [],
  raised: ({ voltsAmps, powerFactor }) => voltsAmps && powerFactor === undefined,
  message: () =>
    'Voltages and currents were given by qualified staff, but no power factor; input power can’t be computed without it.',
  remedy: 'Time the utility meter from outside, or have kilowatts read by qualified staff.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: commonPractice('power of a supply is volts times amperes times power factor'),
  absenceOf: 'power-factor',
  spoils: ['input-power'],
  examples: {
    passes: [{ voltsAmps: true, powerFactor: 0.85 }, { voltsAmps: false }],
    raises: [{ voltsAmps: true }],
  },
})
