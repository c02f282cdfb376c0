/** Honest visits don't look as if readings had been used before. */
import { recordFindingList } from '@liftledger/calc'
import { expect, test } from 'vitest'
import { countAlarms } from './measure.ts'
import { countRecordAlarms } from './record-alarms.ts'

test('of 2,000 honest visits none shares readings with another so that a person would be asked', () => {
  const { visits, pairsOfPlant, alarms, findings } = countAlarms(1, 2000)
  expect(visits).toBe(2000)
  expect(pairsOfPlant).toBeGreaterThan(2000)
  expect(alarms).toBe(0)
  for (const sheets of Object.values(findings)) expect(sheets).toBeLessThanOrEqual(visits / 100)
})

test('of 2,000 honest visits beside the record none is held, but where a tester is in two places', () => {
  const { visits, withHistory, withThreeEarlier, doubleBooked, findings } = countRecordAlarms({ seed: 1, visits: 2000 })
  expect(visits).toBe(2000)
  expect(withHistory).toBeGreaterThan(1400)
  expect(withThreeEarlier).toBeGreaterThan(500)
  const { 'tests-overlap-for-tester, double-booked': inTwoPlaces = 0, ...others } = findings
  expect(inTwoPlaces).toBeLessThanOrEqual(doubleBooked)
  for (const [id, raised] of Object.entries(others)) {
    expect(recordFindingList.find((finding) => finding.id === id)?.severity, id).toBe('caution')
    expect(raised, id).toBeLessThanOrEqual(visits / 100)
  }
})

test('of repairs that nobody put on record most are asked about', () => {
  const { trulyChanged, findings } = countRecordAlarms({ seed: 1, visits: 2000, repairsRecorded: false })
  expect(trulyChanged).toBeGreaterThan(50)
  expect(findings['efficiency-rose-without-repair']).toBeGreaterThan(trulyChanged / 2)
})
