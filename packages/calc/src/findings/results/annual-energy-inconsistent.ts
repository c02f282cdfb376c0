import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const annualEnergyInconsistent = defineFinding({
  id: 'annual-energy-inconsistent',
  group: 'results',
  severity: 'caution',
  place: '/economics',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'Billed energy differs from annual volume times energy per volume by more than the limit.',
  why: 'One of them belongs to another meter or another year.',
  needs: ['annualEnergy', 'annualVolume', 'energyPerVolume'],
  limits: ['maxEnergyDifference'],
  raised: ({ annualEnergy, annualVolume, energyPerVolume }, limits) =>
    exceeds(Math.abs(annualEnergy / (annualVolume * energyPerVolume) - 1), limits.maxEnergyDifference),
  message: ({ annualEnergy, annualVolume, energyPerVolume }, say) =>
    `The bills say ${say.number(annualEnergy / 3.6e6)} kWh; annual volume and this test give ${say.number((annualVolume * energyPerVolume) / 3.6e6)} kWh.`,
  remedy: 'Compare meter, plant and year of the two figures.',
  source: ourJudgement('seasonal change of head and rounding of volumes explain 10 to 20 percent'),
  examples: {
    passes: [
      { annualEnergy: 1.3e12, annualVolume: 1e6, energyPerVolume: 1e6 },
      { annualEnergy: 1e12, annualVolume: 1e6, energyPerVolume: 1e6 },
    ],
    raises: [
      { annualEnergy: 1.4e12, annualVolume: 1e6, energyPerVolume: 1e6 },
      { annualEnergy: 0.6e12, annualVolume: 1e6, energyPerVolume: 1e6 },
    ],
  },
})
