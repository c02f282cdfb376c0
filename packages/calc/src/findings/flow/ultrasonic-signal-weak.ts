import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const ultrasonicSignalWeak = defineFinding({
  id: 'ultrasonic-signal-weak',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/signalShare',
  decidedFrom: 'sheet',
  rule: 'The signal of a clamp-on meter was below its usual lower limit.',
  why: 'Scale, lining or bubbles disturb the path of the sound.',
  needs: ['signalShare'],
  limits: ['minSignal'],
  raised: ({ signalShare }, limits) => fallsShort(signalShare, limits.minSignal),
  message: ({ signalShare }, say, limits) =>
    `The signal was ${say.percent(signalShare)} of the full figure; ${say.percent(limits.minSignal)} or more is expected. The uncertainty of flow was widened.`,
  remedy:
    'Where guards and moving parts leave room, clean the pipe, move the sensors, or try the other way of mounting them.',
  cautions: ['lock-out', 'rotating-shaft'],
  source: ourJudgement('devices differ, so the sheet gives the share of the device’s scale'),
  examples: {
    passes: [{ signalShare: 0.6 }, { signalShare: 0.82 }],
    raises: [{ signalShare: 0.59 }],
  },
})
