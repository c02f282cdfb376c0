import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const dateDiffersFromReadings = defineFinding({
  id: 'date-differs-from-readings',
  group: 'time',
  severity: 'hold',
  place: '/testedOn',
  decidedFrom: 'sheet',
  rule: 'Readings carry another local date than the test.',
  why: 'Qualifications, certificates and rules are judged by the date of the test.',
  needs: ['testedOn', 'readOnOtherDay'],
  limits: [],
  raised: ({ testedOn, readOnOtherDay }) => readOnOtherDay !== testedOn,
  message: ({ testedOn, readOnOtherDay }) =>
    `The test is dated ${testedOn}, but a reading was made on ${readOnOtherDay}; a visit belongs to the day of its readings.`,
  remedy: 'Look at the date of the test and at the clock that was used, and submit the sheet with the true ones.',
  source: commonPractice('a test is dated by its readings'),
  examples: {
    passes: [{ testedOn: '2026-05-12', readOnOtherDay: '2026-05-12' }],
    raises: [{ testedOn: '2026-05-10', readOnOtherDay: '2026-05-12' }],
  },
})
