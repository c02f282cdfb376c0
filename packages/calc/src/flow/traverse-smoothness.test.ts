import { expect, test } from 'vitest'
import { changedVisit, flowBy } from '../testing.ts'
import { equalAreaPositions, traversePositions } from './traverse-positions.ts'
import { farthestFromProfile } from './traverse-smoothness.ts'

const shares = traversePositions('equal-area', 5)!
const logs = shares.map((share) => Math.log(2 * Math.min(share, 1 - share)))
/** A curve of just the terms that are fitted. */
const smooth = logs.map((log) => 2.4 + 0.3 * log + 0.02 * log * log)
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

test('a curve of the fitted terms leaves nothing', () => {
  expect(farthestFromProfile(smooth, shares, true)!.residual).toBeLessThan(1e-12)
  expect(farthestFromProfile(smooth, [...shares], false)!.residual).toBeLessThan(1e-12)
})

test('a usual profile, the seventh root of the wall distance, is smooth', () => {
  const root = shares.map((share) => (2 * Math.min(share, 1 - share)) ** (1 / 7))
  expect(farthestFromProfile(root, shares, true)!.residual).toBeLessThan(0.005)
})

test('one point off is found, by somewhat less than it is off: the curve follows it a little', () => {
  const off = smooth.with(3, smooth[3]! * 1.25)
  const found = farthestFromProfile(off, shares, true)!
  expect(found.point).toBe(3)
  expect(found.residual).toBeGreaterThan(0.1)
  expect(found.residual).toBeLessThan((smooth[3]! * 0.25) / mean(off))
})

test('says nothing of few points, of no flow, or of positions at the wall', () => {
  expect(farthestFromProfile([1, 2, 2, 1], equalAreaPositions(2), false)).toBeUndefined()
  expect(farthestFromProfile([0, 0, 0, 0, 0, 0], equalAreaPositions(3), false)).toBeUndefined()
  expect(farthestFromProfile([1, 1, 1, 1, 1, 1], [0, 0.2, 0.4, 0.6, 0.8, 1], false)).toBeUndefined()
  expect(farthestFromProfile([1, 1, 1, 1, 1, 1], [0.2, 0.2, 0.2, 0.8, 0.8, 0.8], false)).toBeUndefined()
})

test('a misread point of a visit is named', () => {
  const jumps = (factor: number) =>
    changedVisit((sheet) => {
      const point = flowBy(sheet.runs[0], 'pitot-traverse').diameters[1]!.points[2]!
      point.value = point.value! * factor
    }).evaluation.findings.find(({ id }) => id === 'velocity-profile-jumps')
  expect(jumps(1)).toBeUndefined()
  expect(jumps(1.8)?.message).toMatch(/^Point 3 of diameter 2 lies /)
})
