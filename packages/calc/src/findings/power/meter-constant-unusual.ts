import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/**
 * Usual constants of disk meters, watt-hours per revolution.
 * From memory of meter faces; a constant that is not here is not an error, only worth a second look.
 */
const USUAL_KH = [0.3, 0.6, 1, 1.2, 1.8, 3.6, 7.2, 10.8, 14.4, 18, 21.6, 24, 28.8, 43.2, 57.6, 86.4, 172.8] as const
const JOULES_PER_WATT_HOUR = 3600

function isUsual(meterConstant: number, tolerance: number): boolean {
  for (const kh of USUAL_KH) {
    const usual = kh * JOULES_PER_WATT_HOUR
    if (!exceeds(Math.abs(meterConstant - usual), tolerance * usual)) return true
  }
  return false
}

export const meterConstantUnusual = defineFinding({
  id: 'meter-constant-unusual',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/kh',
  decidedFrom: 'sheet',
  rule: 'The meter constant is not one of those usual for disk meters.',
  why: 'A misread constant shifts power in proportion.',
  needs: ['diskMeter', 'meterConstant'],
  limits: ['constantTolerance'],
  raised: ({ diskMeter, meterConstant }, limits) => diskMeter && !isUsual(meterConstant, limits.constantTolerance),
  message: ({ meterConstant }, say) =>
    `The constant ${say.number(meterConstant / JOULES_PER_WATT_HOUR)} Wh/rev is not among those usual for disk meters, such as 3.6, 7.2 or 28.8 Wh/rev.`,
  remedy:
    'Read Kh again from the face of the meter, from outside, and photograph it. If it is as stated, nothing else is needed.',
  cautions: ['electrical-panel'],
  source: ourJudgement('usual constants are remembered from meter faces, and an unlisted one is not an error'),
  examples: {
    passes: [
      { diskMeter: true, meterConstant: 6480 },
      { diskMeter: true, meterConstant: 25_920 },
      { diskMeter: true, meterConstant: 25_920 * 1.005 },
      { diskMeter: false, meterConstant: 4320 },
    ],
    raises: [
      { diskMeter: true, meterConstant: 25_920 * 1.006 },
      { diskMeter: true, meterConstant: 8 * 3600 },
      { diskMeter: true, meterConstant: 1 },
    ],
  },
})
