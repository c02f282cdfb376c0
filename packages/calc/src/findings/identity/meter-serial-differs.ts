import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const meterSerialDiffers = defineFinding({
  id: 'meter-serial-differs',
  group: 'identity',
  severity: 'hold',
  place: '/runs/*/power/meterSerial',
  decidedFrom: 'context',
  rule: 'The serial number of the meter differs from the record.',
  why: 'The power read may be that of another plant.',
  needs: ['meterSerial', 'recordMeterSerial'],
  limits: [],
  raised: ({ meterSerial, recordMeterSerial }) => meterSerial !== recordMeterSerial,
  message: ({ meterSerial, recordMeterSerial }) =>
    `The meter read has the serial number ${meterSerial}; the plant’s record has ${recordMeterSerial}.`,
  remedy:
    'Compare the number with the face of the meter. If the utility changed the meter, record the new one with its constant and multiplier.',
  source: ourJudgement('exact comparison; cheap, and it shows a gross error'),
  examples: {
    passes: [{ meterSerial: 'M-1', recordMeterSerial: 'M-1' }],
    raises: [{ meterSerial: 'M-1', recordMeterSerial: 'M-7' }],
  },
})
