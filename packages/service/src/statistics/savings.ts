/** What plants below a reference use more than they would at it: sums by the bin of their efficiency make it exact. */
import { EDGES } from './bins.ts'
import { ENERGY_BINS } from './cell.ts'
import { EFFICIENCY, JOULES_PER_KWH, MEASURES, PARTS } from './measures.ts'
import { type Part, sumBelow } from './part.ts'
import type { StatisticsGroup } from './schemas.ts'

type Savings = NonNullable<StatisticsGroup['potentialSavings']>

/**
 * E (1 − η/reference), summed over tests below the reference, which is the edge of a bin so that no bin is cut. The
 * interval takes the tests’ errors as common to all: the widest it can be. Undefined where no test has a weight.
 */
export function potentialSavings(parts: readonly Part[], referenceBin: number): Savings | undefined {
  const edge = EDGES[referenceBin]!
  const reference = edge * MEASURES[EFFICIENCY].step
  const below = (kind: number): number => sumBelow(parts, kind, referenceBin)
  const energy = below(ENERGY_BINS.energy)
  if (sumBelow(parts, ENERGY_BINS.energy, EDGES.length) === 0 || reference === 0) return undefined
  const joules = (kWh: number): number => Math.max(0, kWh) * JOULES_PER_KWH
  const saving = energy - below(ENERGY_BINS.waterEnergy) / PARTS / reference
  const error = below(ENERGY_BINS.energyByWidth) / PARTS / reference
  const resolved = below(ENERGY_BINS.energyAtUpper) - below(ENERGY_BINS.waterEnergyAtUpper) / PARTS / reference
  return {
    referenceIs: 'group-percentile-75',
    reference,
    energyJ: joules(saving),
    low: joules(saving - error),
    high: joules(saving + error),
    resolvedJ: joules(Math.min(resolved, saving)),
    unresolvedJ: joules(saving - Math.min(resolved, saving)),
  }
}
