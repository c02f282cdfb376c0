import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const ultrasonicSpacingDiffers = defineFinding({
  id: 'ultrasonic-spacing-differs',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/spacingSet',
  decidedFrom: 'sheet',
  rule: 'The sensors of a clamp-on meter stand at another distance than the device asked for.',
  why: 'The sound then takes another path than the one the device counts with.',
  needs: ['sensorSpacingAsked', 'sensorSpacingSet'],
  limits: ['maxSpacingError'],
  raised: ({ sensorSpacingAsked, sensorSpacingSet }, limits) =>
    exceeds(Math.abs(sensorSpacingSet / sensorSpacingAsked - 1), limits.maxSpacingError),
  message: ({ sensorSpacingAsked, sensorSpacingSet }, say) =>
    `The device asked for ${say.shortLength(sensorSpacingAsked)} between the sensors; they stand ${say.shortLength(sensorSpacingSet)} apart. The uncertainty of flow was widened.`,
  remedy:
    'Check pipe, wall and lining set in the device, set the sensors as it asks where guards and moving parts leave room, and read again.',
  cautions: ['lock-out', 'rotating-shaft'],
  source: ourJudgement('a tape on a round pipe does better than two percent'),
  examples: {
    passes: [
      { sensorSpacingAsked: 0.2, sensorSpacingSet: 0.204 },
      { sensorSpacingAsked: 0.2, sensorSpacingSet: 0.2 },
    ],
    raises: [
      { sensorSpacingAsked: 0.2, sensorSpacingSet: 0.205 },
      { sensorSpacingAsked: 0.2, sensorSpacingSet: 0.195 },
    ],
  },
})
