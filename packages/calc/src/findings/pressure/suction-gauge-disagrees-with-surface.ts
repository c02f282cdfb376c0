import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const suctionGaugeDisagreesWithSurface = defineFinding({
  id: 'suction-gauge-disagrees-with-surface',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/suction',
  decidedFrom: 'sheet',
  rule: 'A vacuum gauge shows less lift than the height of the pump above the water, or far more.',
  why: 'A gauge can’t show less lift than there is; much more means a clogged strainer.',
  needs: ['suctionHeadFromGauge', 'sourceSurfaceHeight'],
  limits: ['maxSuctionMismatch', 'maxSuctionLoss'],
  raised: ({ suctionHeadFromGauge, sourceSurfaceHeight }, limits) =>
    exceeds(suctionHeadFromGauge - sourceSurfaceHeight, limits.maxSuctionMismatch) ||
    exceeds(sourceSurfaceHeight - suctionHeadFromGauge, limits.maxSuctionLoss),
  message: ({ suctionHeadFromGauge, sourceSurfaceHeight }, say) =>
    `The vacuum gauge means a suction head of ${say.length(suctionHeadFromGauge)}; the water surface stands at ${say.length(sourceSurfaceHeight)}.`,
  remedy:
    'Compare gauge and heights. If the difference is real, tell the owner, so that strainer and foot valve are looked at with the pump locked out.',
  cautions: ['lock-out', 'rotating-shaft', 'lifting-and-falls'],
  source: ourJudgement('energy balance; velocity head and usual strainer loss stay below 10 ft'),
  examples: {
    passes: [
      { suctionHeadFromGauge: -3.5, sourceSurfaceHeight: -2.9 },
      { suctionHeadFromGauge: 0.6096, sourceSurfaceHeight: 0 },
      { suctionHeadFromGauge: -3.048, sourceSurfaceHeight: 0 },
    ],
    raises: [
      { suctionHeadFromGauge: -2, sourceSurfaceHeight: -2.7 },
      { suctionHeadFromGauge: -6.1, sourceSurfaceHeight: -2.9 },
    ],
  },
})
