/** Everything that is looked at before a rule set is published, beside its schema and the dry run. */
import { checkEdition, checkFindings } from './check-findings.ts'
import { checkAmounts, checkCaps } from './check-payments.ts'
import { checkConditions, checkIds, checkOperators, checkReadings } from './check-rules.ts'
import { type Contradiction, contradiction } from './contradiction.ts'
import type { RuleSetContent } from './schema.ts'
import { checkVersions, type VersionDays } from './versions.ts'

/** `published` are the program’s versions so far; `today` is its day, for what reaches back. */
export function contradictionsOf(
  rules: RuleSetContent,
  { published, today }: { readonly published: readonly VersionDays[]; readonly today: string },
): Contradiction[] {
  const ofRules = [...checkIds(rules), ...checkOperators(rules), ...checkConditions(rules)]
  return [
    ...checkVersions(rules, published),
    ...checkEdition(rules),
    ...ofRules,
    ...checkWindow(rules),
    ...checkReadings(rules),
    ...checkFindings(rules),
    // Amounts are compared by what the rules say, so that those must make sense first.
    ...(ofRules.length === 0 ? checkAmounts(rules) : []),
    ...checkCaps(rules),
    ...(rules.inForceFrom < today ? [reachesBack(rules, today)] : []),
  ]
}

const reachesBack = ({ inForceFrom }: RuleSetContent, today: string): Contradiction =>
  contradiction(
    'in-force-before-publication',
    `It is in force from ${inForceFrom}, and today is ${today}: tests made since are judged by it from its publication on.`,
    { pointer: '/inForceFrom' },
  )

function checkWindow({ payments }: RuleSetContent): Contradiction[] {
  const { window } = payments.repair ?? {}
  if (window === undefined || window.afterTestAtLeastDaysAfterWork <= window.afterTestAtMostDaysAfterWork) return []
  const at = (member: string) => ({ pointer: `/payments/repair/window/${member}` })
  const message = `A test after the work is asked for at least ${window.afterTestAtLeastDaysAfterWork} and at most ${window.afterTestAtMostDaysAfterWork} days after it.`
  return [
    contradiction('window-reversed', message, at('afterTestAtLeastDaysAfterWork'), at('afterTestAtMostDaysAfterWork')),
  ]
}

export const isRefused = (found: readonly Contradiction[]): boolean =>
  found.some(({ severity }) => severity === 'refused')
