/**
 * Which tests are tested again by another firm: by a seed that nobody chose and nobody knew when the draw was announced.
 *
 * Each test has two chances, each decided by a hash of the seed and its own id: one that is the same for all, so that
 * what is drawn by it stands for all; and one by weight, so that visits go where they tell most. No test’s outcome
 * depends on another’s: whoever has the seed checks one test without the others.
 */
import { sha256 } from '../http/sha256.ts'

/** What is known of a test when it is drawn. */
export interface Candidate {
  /** UUID. */
  readonly testId: string
  readonly hasCaution: boolean
  /** A finding holds it up, or held it up until a reader decided. */
  readonly hasHold: boolean
  /** Which test of its tester it is among those the program has, from 1. */
  readonly turnOfTester: number
  /** Expanded uncertainty of overall plant efficiency as a share of it; undefined where it is not told. */
  readonly expandedShare: number | undefined
}

/** The first so many tests of a tester are early ones. */
export const EARLY_TESTS = 5
/** From here on a result is an uncertain one. */
export const UNCERTAIN_FROM = 0.08

/** What adds to the weight of a test, beside 1 that each has. Why one is visited rather than another is told by these. */
export const WEIGHTS = [
  {
    reason: 'early-test',
    adds: 2,
    says: `one of the first ${EARLY_TESTS} tests of its tester`,
    applies: ({ turnOfTester }: Candidate) => turnOfTester <= EARLY_TESTS,
  },
  {
    reason: 'held-up',
    adds: 2,
    says: 'a finding holds it up, or held it up until a reader decided',
    applies: ({ hasHold }: Candidate) => hasHold,
  },
  {
    reason: 'caution',
    adds: 1,
    says: 'a finding asks for care',
    applies: ({ hasCaution }: Candidate) => hasCaution,
  },
  {
    reason: 'uncertain',
    adds: 1,
    says: `the interval of overall plant efficiency is ${UNCERTAIN_FROM * 100} % of it or more to each side`,
    applies: ({ expandedShare }: Candidate) => expandedShare !== undefined && expandedShare >= UNCERTAIN_FROM,
  },
] as const
export type WeightReason = (typeof WEIGHTS)[number]['reason']

export interface Shares {
  /** Share of all tests drawn alike, 0 to 1. */
  readonly atRandom: number
  /** Share of all tests drawn by weight, 0 to 1; less where the heaviest reach certainty. */
  readonly byWeight: number
}

export interface Considered {
  readonly testId: string
  readonly reasons: readonly WeightReason[]
  readonly weight: number
  /** Of being drawn by weight. */
  readonly chance: number
  readonly drawn?: 'at-random' | 'by-weight' | 'both'
}

const DRAW_BYTES = 6

/** A number from 0 to 1, as good as drawn evenly: the first 48 bits of SHA-256(seed ‖ purpose ‖ id of the test). */
export function lotOf(seed: Buffer, purpose: 'at-random' | 'by-weight', testId: string): number {
  const hash = sha256(seed, Buffer.from(`${purpose}/${testId}`))
  return hash.readUIntBE(0, DRAW_BYTES) / 2 ** (8 * DRAW_BYTES)
}

export const reasonsOf = (candidate: Candidate): WeightReason[] =>
  WEIGHTS.filter(({ applies }) => applies(candidate)).map(({ reason }) => reason)

const weightOf = (reasons: readonly WeightReason[]): number =>
  WEIGHTS.reduce((sum, { reason, adds }) => sum + (reasons.includes(reason) ? adds : 0), 1)

/** Every test that was considered, in the order of ids, with what it was drawn by. A function of seed, shares and tests. */
export function drawVisits(seed: Buffer, shares: Shares, candidates: readonly Candidate[]): Considered[] {
  const weighed = candidates
    .map((candidate) => ({ testId: candidate.testId, reasons: reasonsOf(candidate) }))
    .map((one) => ({ ...one, weight: weightOf(one.reasons) }))
    .toSorted((a, b) => (a.testId < b.testId ? -1 : 1))
  const mean = weighed.reduce((sum, { weight }) => sum + weight, 0) / weighed.length
  return weighed.map(({ testId, reasons, weight }) => {
    const chance = Math.min(1, (shares.byWeight * weight) / mean)
    const atRandom = lotOf(seed, 'at-random', testId) < shares.atRandom
    const byWeight = lotOf(seed, 'by-weight', testId) < chance
    const drawn = atRandom && byWeight ? 'both' : atRandom ? 'at-random' : byWeight ? 'by-weight' : undefined
    return { testId, reasons, weight, chance, ...(drawn !== undefined && { drawn }) }
  })
}
