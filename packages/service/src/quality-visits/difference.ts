/**
 * A test against its re-test by another firm: each result’s difference beside the joint uncertainty of both, and of what
 * the plant itself may have changed between.
 *
 * The number E_n is the difference over its expanded uncertainty (ISO 13528:2015, E_n scores, where both uncertainties
 * are expanded ones and are independent; ISO/IEC 17043 takes it over; looked up as NIST’s Dataplot reference manual
 * gives it, “ISO 13528 EN SCORE”). Beyond 1 the two results don’t agree within what they state.
 */
import { coverageFactor95, type QuantityId, type Result } from '@liftledger/calc'

export const COMPARED = ['flow', 'total-dynamic-head', 'input-power', 'overall-plant-efficiency'] as const
export type Compared = (typeof COMPARED)[number]

interface Allowance {
  /** Standard uncertainty of what changes from one day to the next, as a share. */
  readonly atOnce: number
  /** What a year adds, as a share: in proportion to the time between. */
  readonly perYear: number
  readonly says: string
}

/**
 * What a sound plant itself changes between two visits, as standard uncertainties: our judgement. Flow, head and power
 * follow the water level and what the system asks for; the efficiency of a pump near its best point hardly does, and
 * wears slowly.
 */
export const ALLOWANCES: Readonly<Record<Compared, Allowance>> = {
  flow: { atOnce: 0.01, perYear: 0.04, says: 'water level and demand move the operating point' },
  'total-dynamic-head': { atOnce: 0.005, perYear: 0.04, says: 'the water level rises and falls with the season' },
  'input-power': { atOnce: 0.005, perYear: 0.03, says: 'power follows flow and head' },
  'overall-plant-efficiency': { atOnce: 0.005, perYear: 0.02, says: 'wear, and a shifted operating point' },
}

const DAYS_OF_YEAR = 365.25

/** Standard uncertainty, as a share, of what the plant changes in so many days. */
export const allowanceFor = (quantity: Compared, days: number): number => {
  const { atOnce, perYear } = ALLOWANCES[quantity]
  return Math.hypot(atOnce, (perYear * Math.abs(days)) / DAYS_OF_YEAR)
}

type Stated = Pick<Result, 'value' | 'standardUncertainty' | 'degreesOfFreedom'>

export interface Difference {
  readonly quantity: Compared
  readonly unit: string
  readonly original: number
  readonly again: number
  /** Of the re-test, less the original. */
  readonly difference: number
  /** Half-width of its 95 % interval, what the plant may change included. */
  readonly expandedUncertainty: number
  readonly plantAllowance: number
  /** Difference over its expanded uncertainty. */
  readonly en: number
  readonly agrees: boolean
}

/** Effective degrees of freedom of a sum of independent parts (Welch and Satterthwaite; JCGM 100:2008, G.4.1). */
function jointFreedom(parts: readonly Stated[], joint: number): number {
  const sum = parts.reduce(
    (total, { standardUncertainty: u, degreesOfFreedom: v }) => (v === undefined ? total : total + u ** 4 / v),
    0,
  )
  return sum === 0 ? Infinity : Math.max(1, Math.floor(joint ** 4 / sum))
}

export function differenceOf(
  quantity: Compared,
  unit: string,
  original: Stated,
  again: Stated,
  days: number,
): Difference {
  const middle = (Math.abs(original.value) + Math.abs(again.value)) / 2
  const plantAllowance = middle * allowanceFor(quantity, days)
  const joint = Math.hypot(original.standardUncertainty, again.standardUncertainty, plantAllowance)
  const expandedUncertainty = coverageFactor95(jointFreedom([original, again], joint)) * joint
  const difference = again.value - original.value
  const en = expandedUncertainty > 0 ? difference / expandedUncertainty : 0
  return {
    quantity,
    unit,
    original: original.value,
    again: again.value,
    difference,
    expandedUncertainty,
    plantAllowance,
    en,
    agrees: Math.abs(en) <= 1,
  }
}

export interface OneTest {
  readonly day: string
  /** Run that stands for the usual condition. */
  readonly run: number
  readonly results: readonly Result[]
}

const DAY = 86_400_000
export const daysBetween = (from: string, to: string): number => (Date.parse(to) - Date.parse(from)) / DAY

/** Of each result that both tests have, in their order. */
export function differencesOf(original: OneTest, again: OneTest): Difference[] {
  const days = daysBetween(original.day, again.day)
  const resultOf = ({ results, run }: OneTest, quantity: QuantityId): Result | undefined =>
    results.find((one) => one.quantity === quantity && one.run === run)
  return COMPARED.flatMap((quantity) => {
    const [a, b] = [resultOf(original, quantity), resultOf(again, quantity)]
    return a === undefined || b === undefined ? [] : [differenceOf(quantity, a.unit, a, b, days)]
  })
}
