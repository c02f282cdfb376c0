/** The profile of the simulator against the law it rests on, by integration over the pipe. */
import { expect, test } from 'vitest'
import { type Profile, velocityAt } from './traverse.ts'

const PROFILE: Profile = { meanVelocity: 1.7, diameter: 0.25, exponent: 7, lean: [0.05, -0.03], flattening: 0.02 }

/** Mean over the section: rings from the wall to the middle, seen along both diameters. */
function meanOver(profile: Profile): number {
  const rings = 20_000
  let sum = 0
  for (let i = 0; i < rings; i++) {
    const radius = (i + 0.5) / rings
    for (const along of [0, 1] as const)
      for (const side of [-1, 1]) sum += (velocityAt(profile, (1 + side * radius) / 2, along) * 2 * radius) / rings / 4
  }
  return sum
}

test('the mean over the section is the mean velocity, leaning and flattened or not', () => {
  expect(meanOver(PROFILE)).toBeCloseTo(PROFILE.meanVelocity, 4)
  expect(meanOver({ ...PROFILE, lean: [0, 0], flattening: 0 })).toBeCloseTo(PROFILE.meanVelocity, 4)
})

test('the seventh-root law has 0.8167 of the centre velocity as its mean', () => {
  // 2n²/((n + 1)(2n + 1)) for n = 7; Schlichting, Boundary-Layer Theory, flow in pipes (from memory).
  const straight = { ...PROFILE, lean: [0, 0], flattening: 0 } as const
  expect(PROFILE.meanVelocity / velocityAt(straight, 0.5, 0)).toBeCloseTo(0.8167, 4)
})
