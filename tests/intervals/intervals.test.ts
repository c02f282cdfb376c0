/** True values against stated intervals, on a basin small enough for every run; `npm run intervals` does it on 20,000. */
import { mistakes as makeable } from '@liftledger/simulator'
import { expect, test } from 'vitest'
import { COMPARED, type Compared, measureCoverage } from './measure.ts'

/** The seed is fixed, so the figures are; with 10,000 tests that share instruments a share is good to about 0.3 %. */
const honest = measureCoverage(1, 3200)

test('the true efficiency lies inside its 95 % interval in 94 to 96 % of honest tests', () => {
  const tally = honest.tallies.get('overall-plant-efficiency')!
  expect(honest.visits).toBeGreaterThan(10_000)
  expect(tally.count).toBe(honest.visits)
  expect(tally.coverage).toBeGreaterThanOrEqual(0.94)
  expect(tally.coverage).toBeLessThanOrEqual(0.96)
})

test('no quantity is stated with more certainty than it has', () => {
  // Head and power lie inside more often: their errors are limits, and a limit is never passed.
  for (const quantity of Object.keys(COMPARED) as Compared[])
    expect(honest.tallies.get(quantity)!.coverage, quantity).toBeGreaterThanOrEqual(0.94)
})

test('results are not biased by more than a fifth of their uncertainty', () => {
  for (const quantity of Object.keys(COMPARED) as Compared[]) {
    const { bias, stated } = honest.tallies.get(quantity)!
    expect(Math.abs(bias), quantity).toBeLessThan(stated / 5)
  }
})

test('instruments that err beyond their record are seen: the measurement can fail', () => {
  const { tallies } = measureCoverage(1, 640, { biased: 1 })
  expect(tallies.get('overall-plant-efficiency')!.coverage).toBeLessThan(0.6)
})

test('honest sheets are neither held nor rejected', () => {
  expect(honest.stopped).toBe(0)
})

test('clumsy mistakes are found, each kind of them mostly', () => {
  const { mistakes, withMistakes, visits } = measureCoverage(7, 1600, { mistakes: 0.5 })
  expect(withMistakes / visits).toBeGreaterThan(0.45)
  expect(withMistakes / visits).toBeLessThan(0.55)
  expect([...mistakes.keys()].sort()).toEqual(makeable.map(({ id }) => id).sort())
  for (const [id, { made, found }] of mistakes) expect(found / made, id).toBeGreaterThan(0.9)
})
