/** Forty testers a basin on few seeds, for every run of the tests; `npm run quality-visits` is the whole of it. */
import { expect, test } from 'vitest'
import { FORTY_TESTERS } from './basin.ts'
import { tallyOf } from './tally.ts'

const seeds = (count: number): number[] => Array.from({ length: count }, (_, n) => n + 1)
const honest = tallyOf(seeds(10), { biased: 0, bias: 0 })
const offset = tallyOf(seeds(5), { biased: 3, bias: 0.12 })

test('three of forty testers with an instrument that is 12 % off are found, all of them', () => {
  expect(FORTY_TESTERS.firms * FORTY_TESTERS.testersPerFirm).toBe(40)
  expect(offset.samePlants).toMatchObject({ biased: 15, found: 15 })
})

test('who has no biased instrument is hardly ever beyond the outer limit, and some are beyond the inner one', () => {
  // 2 of 1000 are expected of about 400 testers: more than 4 have a chance below 2 in 1000.
  for (const { honest: testers, beyondInner, beyondOuter } of [honest.allTests, honest.samePlants]) {
    expect(testers).toBeGreaterThan(380)
    expect(beyondOuter).toBeLessThanOrEqual(4)
    expect(beyondInner).toBeGreaterThan(0)
    expect(beyondInner / testers).toBeLessThan(0.07)
  }
  expect(offset.samePlants.beyondOuter).toBeLessThanOrEqual(2)
})

test('honest pairs agree within what they state in 95 of 100, and flow is what a biased flow instrument puts apart', () => {
  for (const share of Object.values(honest.within)) expect(share).toBeGreaterThan(0.94)
  const { flow, 'total-dynamic-head': head, 'input-power': power } = offset.disagreeing
  expect(flow / offset.biasedPairs).toBeGreaterThan(0.75)
  expect(head / offset.biasedPairs).toBeLessThan(0.05)
  expect(power / offset.biasedPairs).toBeLessThan(0.05)
})
