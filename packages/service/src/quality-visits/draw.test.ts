/** Draws by a seed: fair, checked test by test, and heavier where the reasons say so. */
import { createHash } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import { type Candidate, drawVisits, EARLY_TESTS, lotOf, reasonsOf, UNCERTAIN_FROM } from './draw.ts'

const seedOf = (n: number): Buffer => createHash('sha256').update(`seed ${n}`).digest()
const idOf = (n: number): string => `00000000-0000-7000-8000-${String(n).padStart(12, '0')}`
const plain = (n: number, more: Partial<Candidate> = {}): Candidate => ({
  testId: idOf(n),
  hasCaution: false,
  hasHold: false,
  turnOfTester: EARLY_TESTS + 1,
  expandedShare: 0.05,
  ...more,
})

describe('a lot', () => {
  test('is the hash of seed, purpose and test, as anyone works it out', () => {
    const hash = createHash('sha256')
      .update(seedOf(1))
      .update(`at-random/${idOf(7)}`)
      .digest('hex')
    expect(lotOf(seedOf(1), 'at-random', idOf(7))).toBe(Number.parseInt(hash.slice(0, 12), 16) / 2 ** 48)
  })

  test('lies evenly between 0 and 1, and says nothing of the other purpose', () => {
    const count = 20_000
    const lots = Array.from({ length: count }, (_, n) => [
      lotOf(seedOf(2), 'at-random', idOf(n)),
      lotOf(seedOf(2), 'by-weight', idOf(n)),
    ])
    // Within four standard errors of a share of a half, and of a quarter.
    const low = lots.filter(([a]) => a! < 0.5).length / count
    const both = lots.filter(([a, b]) => a! < 0.5 && b! < 0.5).length / count
    expect(Math.abs(low - 0.5)).toBeLessThan(4 * Math.sqrt(0.25 / count))
    expect(Math.abs(both - 0.25)).toBeLessThan(4 * Math.sqrt(0.1875 / count))
  })
})

describe('a draw', () => {
  const candidates = Array.from({ length: 4_000 }, (_, n) => plain(n, { hasCaution: n % 4 === 0 }))

  test('takes the share that was asked for at random, alike with a reason and without', () => {
    const drawn = drawVisits(seedOf(3), { atRandom: 0.1, byWeight: 0 }, candidates)
    const share = (rest: number) =>
      drawn.filter((one, n) => (n % 4 === 0) === (rest === 0) && one.drawn !== undefined).length /
      (rest === 0 ? 1_000 : 3_000)
    expect(drawn.every((one) => one.drawn === undefined || one.drawn === 'at-random')).toBe(true)
    expect(Math.abs(share(0) - 0.1)).toBeLessThan(4 * Math.sqrt(0.09 / 1_000))
    expect(Math.abs(share(1) - 0.1)).toBeLessThan(4 * Math.sqrt(0.09 / 3_000))
  })

  test('takes by weight in proportion to it, and as many in all as the share says', () => {
    const drawn = drawVisits(seedOf(4), { atRandom: 0, byWeight: 0.2 }, candidates)
    // Weights 2 and 1, a quarter of them 2: mean 1.25, chances 0.32 and 0.16.
    expect(drawn[0]!.chance).toBeCloseTo(0.32, 12)
    expect(drawn[1]!.chance).toBeCloseTo(0.16, 12)
    const expected = drawn.reduce((sum, { chance }) => sum + chance, 0)
    expect(expected).toBeCloseTo(0.2 * 4_000, 6)
    const taken = drawn.filter((one) => one.drawn !== undefined).length
    expect(Math.abs(taken - expected)).toBeLessThan(4 * Math.sqrt(expected * 0.8))
  })

  test('is the same whatever the order of the tests, and another with another seed', () => {
    const shares = { atRandom: 0.1, byWeight: 0.1 }
    expect(drawVisits(seedOf(5), shares, candidates.toReversed())).toEqual(drawVisits(seedOf(5), shares, candidates))
    expect(drawVisits(seedOf(6), shares, candidates)).not.toEqual(drawVisits(seedOf(5), shares, candidates))
  })

  test('with certainty takes all, and of nothing takes nothing', () => {
    const all = drawVisits(seedOf(7), { atRandom: 1, byWeight: 1 }, candidates.slice(0, 10))
    expect(all.filter(({ drawn }) => drawn === 'both' || drawn === 'at-random')).toHaveLength(10)
    expect(drawVisits(seedOf(7), { atRandom: 1, byWeight: 1 }, [])).toEqual([])
  })
})

test.each([
  [plain(1), []],
  [plain(1, { turnOfTester: EARLY_TESTS }), ['early-test']],
  [plain(1, { hasHold: true, hasCaution: true }), ['held-up', 'caution']],
  [plain(1, { expandedShare: UNCERTAIN_FROM }), ['uncertain']],
  [plain(1, { expandedShare: undefined }), []],
])('reasons follow from what is known of a test', (candidate, reasons) => {
  expect(reasonsOf(candidate)).toEqual(reasons)
})
