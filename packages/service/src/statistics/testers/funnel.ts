/**
 * Results by tester against control limits that narrow with the number of tests, the spread between testers added to
 * chance: limits at 2 and 3.09 standard errors, which 4.6 % and 0.2 % of normal values pass (D. J. Spiegelhalter, Funnel
 * plots for comparing institutional performance, Statistics in Medicine 24 (2005) 1185–1202, whose abstract was looked
 * up; additive form after the same author, Quality and Safety in Health Care 14 (2005) 347–351, abstract looked up, the
 * formula from memory).
 */
import { betweenTesters, type Mean, scoreOf } from './between-testers.ts'

/** Standard errors of the inner and the outer limit, were the spread between testers known. */
export const INNER = 2
export const OUTER = 3.09
/** Fewer tests of a tester say too little: a choice of this product. */
export const TESTS_MIN = 20
/** With fewer testers the spread between them can’t be told from chance: a choice of this product. */
export const TESTERS_MIN = 5
/**
 * Of the uncertainty that tests state, at least this much is taken to be common to the tests of one tester: a calibration
 * that all of them share. A choice of this product; `docs/quality-visits.md` says what it does.
 */
export const COMMON_SHARE_MIN = 0.5

export interface TesterMean extends Mean {
  readonly tester: string
  readonly tests: number
  readonly plants: number
}

export const PLACES = ['within', 'beyond-inner', 'beyond-outer'] as const
export type PlaceInFunnel = (typeof PLACES)[number]

export interface InFunnel extends TesterMean {
  /** Difference from the middle of the testers. */
  readonly difference: number
  /** Standard errors from the middle, the spread between testers included. */
  readonly score: number
  readonly place: PlaceInFunnel
}

export interface Limits {
  readonly inner: number
  readonly outer: number
}

export interface Funnel {
  /** Middle of all testers. */
  readonly centre: number
  /** Spread between testers, as a share of the uncertainty that their tests state. */
  readonly commonShare: number
  readonly limits: Limits
  readonly testers: readonly InFunnel[]
  readonly tooFew: readonly TesterMean[]
}

/**
 * The quantile of Student’s t where the normal distribution has `z` (Abramowitz and Stegun, Handbook of Mathematical
 * Functions, 1964, 26.7.5, to the term in 1/ν³): the spread between testers is told from the testers themselves.
 */
export function likeNormal(z: number, degreesOfFreedom: number): number {
  const v = degreesOfFreedom
  const g1 = (z ** 3 + z) / 4
  const g2 = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96
  const g3 = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384
  return z + g1 / v + g2 / v ** 2 + g3 / v ** 3
}

export const limitsFor = (testers: number): Limits => ({
  inner: likeNormal(INNER, testers - 1),
  outer: likeNormal(OUTER, testers - 1),
})

export const placeOf = (score: number, { inner, outer }: Limits): PlaceInFunnel => {
  const size = Math.abs(score)
  return size > outer ? 'beyond-outer' : size > inner ? 'beyond-inner' : 'within'
}

/** Undefined where too few testers have enough tests. `testsMin` counts whatever the means are of. */
export function funnelOf(means: readonly TesterMean[], testsMin = TESTS_MIN): Funnel | undefined {
  const enough = means.filter(({ tests, standardError }) => tests >= testsMin && standardError > 0)
  if (enough.length < TESTERS_MIN) return undefined
  const limits = limitsFor(enough.length)
  const { centre, variance: found } = betweenTesters(enough, limits.outer)
  const variance = Math.max(found, COMMON_SHARE_MIN ** 2)
  return {
    centre,
    commonShare: Math.sqrt(variance),
    limits,
    testers: enough.map((mean) => {
      const score = scoreOf(mean, { centre, variance })
      return { ...mean, difference: mean.value - centre, score, place: placeOf(score, limits) }
    }),
    tooFew: means.filter((mean) => !enough.includes(mean)),
  }
}

/** Half-width of a limit for a tester whose own mean has this standard error. */
export const limitAt = (standardError: number, between: number, errors: number): number =>
  errors * Math.sqrt(standardError ** 2 + between ** 2)
