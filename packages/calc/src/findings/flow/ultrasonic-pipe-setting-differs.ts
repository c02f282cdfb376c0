import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const ultrasonicPipeSettingDiffers = defineFinding({
  id: 'ultrasonic-pipe-setting-differs',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/deviceDiameter',
  decidedFrom: 'sheet',
  rule: 'The diameter set in a clamp-on meter differs from the measured one.',
  why: 'The device computes flow from its own setting, so the rate it shows is not that of this pipe.',
  needs: ['deviceDiameter', 'pipeDiameter'],
  limits: ['maxSettingDifference'],
  raised: ({ deviceDiameter, pipeDiameter }, limits) =>
    exceeds(Math.abs(deviceDiameter / pipeDiameter - 1), limits.maxSettingDifference),
  message: ({ deviceDiameter, pipeDiameter }, say) =>
    `The device was set to ${say.shortLength(deviceDiameter)}; measured was ${say.shortLength(pipeDiameter)}.`,
  remedy: 'Set the device to the measured pipe and read again. The rate is not corrected for you.',
  source: commonPractice('the path of the sound depends on the setting too, so the error is no simple ratio'),
  examples: {
    passes: [
      { deviceDiameter: 0.2525, pipeDiameter: 0.25 },
      { deviceDiameter: 0.25, pipeDiameter: 0.25 },
    ],
    raises: [
      { deviceDiameter: 0.26, pipeDiameter: 0.25 },
      { deviceDiameter: 0.24, pipeDiameter: 0.25 },
    ],
  },
})
