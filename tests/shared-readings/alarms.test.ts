/** Honest visits don't look as if readings had been used before. */
import { expect, test } from 'vitest'
import { countAlarms } from './measure.ts'

test('of 2,000 honest visits none shares readings with another so that a person would be asked', () => {
  const { visits, pairsOfPlant, alarms, findings } = countAlarms(1, 2000)
  expect(visits).toBe(2000)
  expect(pairsOfPlant).toBeGreaterThan(2000)
  expect(alarms).toBe(0)
  for (const sheets of Object.values(findings)) expect(sheets).toBeLessThanOrEqual(visits / 100)
})
