/**
 * How many days a program asks between tests of a plant, by the rules in force today. A door: work lists ask which plants
 * are due.
 */
import { toSi } from '@liftledger/calc'
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { publishedVersions } from './rule-set-queries.ts'
import { boundValue } from './rules/bounds.ts'
import { boundsOf, type FactRead, whenOutcome } from './rules/conditions.ts'
import type { FactName } from './rules/facts.ts'
import type { Rule } from './rules/schema.ts'
import { inForceOn } from './rules/versions.ts'
import { todayIn } from './time-zone.ts'

const FACT = 'daysSinceLastPaidTest'

/** What of a plant a rule can look at without a test. */
export interface PlantFacts {
  readonly kind: string
  readonly region?: string | undefined
  readonly driver?: string | undefined
  readonly ratedPower?: Parameters<typeof toSi>[0] | undefined
}

export interface IntervalRule {
  readonly rule: string
  /** Fewest days between two tests. */
  readonly days: number
}

export interface Interval {
  readonly version: number
  /** Today, in the time zone of the program. */
  readonly today: string
  readonly rules: readonly IntervalRule[]
  /**
   * The longest interval of the rules that apply to a plant, or may apply for all that is known of it; undefined where
   * none does.
   */
  daysFor(plant: PlantFacts): number | undefined
}

/** Undefined where no version of the program’s rules is in force, as far as the reader sees them. */
export async function intervalInForce(
  tx: Transaction<Database>,
  programId: string,
  now: Date,
): Promise<Interval | undefined> {
  const versions = await publishedVersions(tx, programId)
  // Each version says where its days begin and end.
  const version = versions.find((one) => inForceOn([one], todayIn(one.content, now)) !== undefined)
  if (version === undefined) return undefined
  const asking = version.content.eligibility.flatMap((rule) => {
    const days = daysOf(rule)
    return days === undefined ? [] : [{ rule, days }]
  })
  return {
    version: version.version,
    today: todayIn(version.content, now),
    rules: asking.map(({ rule, days }) => ({ rule: rule.id, days })),
    daysFor(plant) {
      const read = factsOfPlant(plant)
      const applying = asking.filter(({ rule }) => whenOutcome(rule.when, read) !== 'not-met')
      return applying.length === 0 ? undefined : Math.max(...applying.map(({ days }) => days))
    },
  }
}

/** The fewest days that a rule lets pass since the last test; undefined where it looks at something else. */
function daysOf(rule: Rule): number | undefined {
  if (rule.fact !== FACT) return undefined
  const least = boundsOf(rule).flatMap(([word, bound]) => {
    const days = boundValue(bound, FACT)
    return (word === 'from' || word === 'atLeast') && typeof days === 'number' ? [Math.ceil(days)] : []
  })
  return least.length === 0 ? undefined : Math.max(...least)
}

/** Facts of tests are missing: a rule that looks at one may apply. */
function factsOfPlant({ kind, region, driver, ratedPower }: PlantFacts): (name: FactName) => FactRead {
  const known: Partial<Record<FactName, string | number | undefined>> = {
    'plant.kind': kind,
    'plant.region': region,
    'plant.driver': driver,
    'plant.ratedPower': ratedPower === undefined ? undefined : toSi(ratedPower, 'power'),
  }
  return (fact) => {
    const value = known[fact]
    if (value === undefined) return { fact, values: [], missing: 'the record of the plant does not say it' }
    return { fact, values: [{ value, document: 'context', pointer: '/plant' }] }
  }
}
