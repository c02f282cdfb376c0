import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const powerFactorUnusual = defineFinding({
  id: 'power-factor-unusual',
  group: 'power',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The power factor is outside the usual span of a loaded motor.',
  why: 'A light load, capacitors or a drive; or a misreading.',
  needs: ['powerFactor'],
  limits: ['minPowerFactor', 'maxPowerFactor'],
  raised: ({ powerFactor }, limits) =>
    powerFactor > 0 &&
    !exceeds(powerFactor, 1) &&
    (fallsShort(powerFactor, limits.minPowerFactor) || exceeds(powerFactor, limits.maxPowerFactor)),
  message: ({ powerFactor }, say, limits) =>
    `A power factor of ${say.number(powerFactor)} was read; ${say.number(limits.minPowerFactor)} to ${say.number(limits.maxPowerFactor)} is usual without capacitors or a drive.`,
  remedy:
    'If there are capacitors or a drive, record them with the plant; otherwise have it read again by qualified staff, or time the utility meter from outside.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: ourJudgement('induction motors of 10 to 200 hp run at 0.78 to 0.90 near full load'),
  examples: {
    passes: [{ powerFactor: 0.6 }, { powerFactor: 0.97 }, { powerFactor: 87 }],
    raises: [{ powerFactor: 0.55 }, { powerFactor: 0.99 }],
  },
})
