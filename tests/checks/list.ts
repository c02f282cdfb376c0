/** Every outside value that a formula or table in force covers, and those that disagree. */
import type { Check, Disagreement } from './check.ts'
import { disagreements } from './disagreements.ts'
import { disagreementsOfOpenFlow } from './disagreements-of-open-flow.ts'
import { driverChecks } from './drivers.ts'
import { hydraulicChecks } from './hydraulics.ts'
import { levelChecks } from './levels.ts'
import { meterChecks } from './meters.ts'
import { motorChecks } from './motors.ts'
import { openFlowChecks } from './open-flow.ts'
import { openFlowTableChecks } from './open-flow-tables.ts'
import { pipeChecks } from './pipes.ts'
import { repeatAndCostChecks } from './repeats-and-costs.ts'
import { sumChecks } from './sums.ts'
import { traverseChecks } from './traverse.ts'
import { trendChecks } from './trends.ts'
import { uncertaintyChecks } from './uncertainty.ts'
import { unitChecks } from './units.ts'
import { waterChecks } from './water.ts'

export const checks: readonly (Check | Disagreement)[] = [
  ...unitChecks,
  ...waterChecks,
  ...hydraulicChecks,
  ...traverseChecks,
  ...meterChecks,
  ...levelChecks,
  ...driverChecks,
  ...motorChecks,
  ...pipeChecks,
  ...openFlowChecks,
  ...openFlowTableChecks,
  ...sumChecks,
  ...repeatAndCostChecks,
  ...trendChecks,
  ...uncertaintyChecks,
  ...disagreements,
  ...disagreementsOfOpenFlow,
]
