import { counted } from '../counted.ts'
import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const instrumentCalibrationExpired = defineFinding({
  id: 'instrument-calibration-expired',
  group: 'identity',
  severity: 'caution',
  place: '/instruments',
  decidedFrom: 'context',
  rule: 'The certificate of an instrument had run out on the day of the test.',
  why: 'The accuracy that it states no longer stands by itself.',
  needs: ['testedOnDay', 'earliestCalibrationEnd'],
  limits: [],
  raised: ({ testedOnDay, earliestCalibrationEnd }) => testedOnDay > earliestCalibrationEnd,
  message: ({ testedOnDay, earliestCalibrationEnd, lapsedInstrument }) => {
    const instrument = lapsedInstrument === undefined ? 'an instrument' : `instrument ${lapsedInstrument}`
    return `The certificate of ${instrument} ran out ${counted(testedOnDay - earliestCalibrationEnd, 'day')} before the test; one that covers the day is expected.`
  },
  remedy:
    'Have the instrument calibrated and add the new certificate: its as-found values show whether this test stands.',
  source: ourJudgement('a caution, since a late calibration that finds the instrument in order rescues the test'),
  examples: {
    passes: [
      { testedOnDay: 20_585, earliestCalibrationEnd: 20_585 },
      { testedOnDay: 20_585, earliestCalibrationEnd: 20_700 },
    ],
    raises: [
      { testedOnDay: 20_586, earliestCalibrationEnd: 20_585, lapsedInstrument: 'GAU-7' },
      { testedOnDay: 20_600, earliestCalibrationEnd: 20_585 },
    ],
  },
})
