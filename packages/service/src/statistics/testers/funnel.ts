/**
 * Results by tester against control limits that narrow with the number of tests, the spread between testers added to
 * chance: limits at 2 and 3.09 standard errors, which 4.6 % and 0.2 % of normal values pass (D. J. Spiegelhalter, Funnel
 * plots for comparing institutional performance, Statistics in Medicine 24 (2005) 1185–1202, whose abstract was looked
 * up; additive form after the same author, Quality and Safety in Health Care 14 (2005) 347–351, abstract looked up, the
 * formula from memory).
 */
import { betweenTesters, type Mean, scoreOf } from './between-testers.ts'

/** Standard errors of the inner and the outer limit. */
export const INNER = 2
export const OUTER = 3.09
/** Fewer tests of a tester say too little: a choice of this product. */
export const TESTS_MIN = 20

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

export interface Funnel {
  /** Middle of all testers. */
  readonly centre: number
  /** Standard deviation between testers. */
  readonly between: number
  readonly testers: readonly InFunnel[]
  /** Testers with too few tests, or too few of them to compare. */
  readonly tooFew: readonly TesterMean[]
}

/** With fewer testers the spread between them can’t be told from chance. */
export const TESTERS_MIN = 5

export const placeOf = (score: number): PlaceInFunnel => {
  const size = Math.abs(score)
  return size > OUTER ? 'beyond-outer' : size > INNER ? 'beyond-inner' : 'within'
}

/** Undefined where too few testers have enough tests. `testsMin` counts whatever the means are of. */
export function funnelOf(means: readonly TesterMean[], testsMin = TESTS_MIN): Funnel | undefined {
  const enough = means.filter(({ tests, standardError }) => tests >= testsMin && standardError > 0)
  if (enough.length < TESTERS_MIN) return undefined
  const between = betweenTesters(enough, OUTER)
  return {
    centre: between.centre,
    between: Math.sqrt(between.variance),
    testers: enough.map((mean) => {
      const score = scoreOf(mean, between)
      return { ...mean, difference: mean.value - between.centre, score, place: placeOf(score) }
    }),
    tooFew: means.filter((mean) => !enough.includes(mean)),
  }
}

/** Half-width of the limits for a tester whose own mean has this standard error. */
export const limitAt = (standardError: number, between: number, errors: number): number =>
  errors * Math.sqrt(standardError ** 2 + between ** 2)
