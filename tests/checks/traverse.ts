/** Where the points of a traverse lie, and what an equal-area mean makes of a power-law profile. */
import {
  equalAreaPositions,
  type TraverseRule,
  traversePositions,
} from '../../packages/calc/src/flow/traverse-positions.ts'
import { type Check, formula, type Source } from './check.ts'

const method1: Source = {
  publication: { publisher: 'US EPA', document: '40 CFR 60, appendix A-1, Method 1', place: 'table 1-2', year: 2017 },
  basis: 'looked up',
  address: 'a public source text with the table of traverse points in percent of the diameter',
}
const iso5802: Source = {
  publication: { publisher: 'ISO', document: 'ISO 5802:2001', place: 'tables 2 and 3', year: 2001 },
  basis: 'looked up',
  address: 'https://www.scribd.com/document/727566445/APPENDIX-5-2-ISO-5802-Circular-traverse-measure-point',
}
const micromanometer: Source = {
  publication: {
    publisher: 'manual of a maker of micromanometers',
    document: 'traversing a round duct',
    place: 'figure 31, ten points on a diameter',
  },
  basis: 'looked up',
  address: 'https://manualshive.com/en/manual/tsi-incorporated/8380-accubalance/1178067?page=63',
}
const powerLaw: Source = {
  publication: {
    publisher: 'general science',
    document: 'power-law velocity profile in a pipe',
    place: 'closed form of the mean against the mean of the points',
  },
  basis: 'derived',
}

/** Percent of the diameter from the wall, by points on each radius, as printed. */
const printed: Readonly<Record<number, readonly number[]>> = {
  1: [14.6],
  2: [6.7, 25],
  3: [4.4, 14.6, 29.6],
  4: [3.2, 10.5, 19.4, 32.3],
  5: [2.6, 8.2, 14.6, 22.6, 34.2],
  6: [2.1, 6.7, 11.8, 17.7, 25, 35.6],
}

const positions: readonly Check[] = Object.entries(printed).flatMap(([points, percents]) =>
  percents.map((percent, i) => ({
    id: `traverse-${points}-${i + 1}`,
    what: `equal-area point ${i + 1} of ${points} on a radius`,
    source: method1,
    printed: percent,
    unit: '% of diameter',
    within: 0.05,
    computed: () => equalAreaPositions(Number(points))[i]! * 100,
  })),
)

/** Shares of the diameter from the wall, by rule and points on each radius, as printed. */
const printedShares: readonly (readonly [TraverseRule, Source, readonly number[]])[] = [
  ['log-linear', iso5802, [0.032, 0.135, 0.321]],
  ['log-linear', iso5802, [0.021, 0.117, 0.184, 0.345]],
  ['log-linear', micromanometer, [0.019, 0.077, 0.153, 0.217, 0.361]],
  ['log-tchebycheff', iso5802, [0.032, 0.137, 0.312]],
  ['log-tchebycheff', iso5802, [0.024, 0.1, 0.194, 0.334]],
]

const logarithmic: readonly Check[] = printedShares.flatMap(([rule, source, shares]) =>
  shares.map((share, i) => ({
    id: `traverse-${rule}-${shares.length}-${i + 1}`,
    what: `${rule} point ${i + 1} of ${shares.length} on a radius`,
    source,
    printed: share,
    unit: 'of diameter',
    within: 5.1e-4,
    computed: () => traversePositions(rule, shares.length)![i]!,
    ...(source === micromanometer
      ? { note: 'the manual prints them under the name of the other logarithmic rule' }
      : {}),
  })),
)

/** Mean over the area of a profile v = (y/R)^(1/7): 2 · 7² ÷ (8 · 15). */
const MEAN_OF_SEVENTH_POWER = 98 / 120

/** Percent by which the mean at the product's points exceeds the mean over the area. */
function bias(points: number, rule: TraverseRule = 'equal-area'): number {
  const velocities = traversePositions(rule, points)!.map((share) => (2 * Math.min(share, 1 - share)) ** (1 / 7))
  return (formula('traverse-mean-velocity', { velocities }) / MEAN_OF_SEVENTH_POWER - 1) * 100
}

const biases: readonly Check[] = [
  ['traverse-036', 3, 0.92, 5e-3] as const,
  ['traverse-037', 5, 0.538, 5e-4] as const,
  ['traverse-038', 10, 0.255, 5e-4] as const,
].map(([id, points, percent, within]) => ({
  id,
  what: `excess of an equal-area mean on a 1/7-power profile, ${points} points on a radius`,
  source: powerLaw,
  printed: percent,
  unit: '%',
  within,
  computed: () => bias(points),
}))

const logarithmicBiases: readonly Check[] = [
  ['log-linear', 3, -0.27] as const,
  ['log-linear', 4, -0.09] as const,
  ['log-linear', 5, -0.15] as const,
  ['log-tchebycheff', 3, -0.33] as const,
  ['log-tchebycheff', 4, -0.22] as const,
  ['log-tchebycheff', 5, -0.17] as const,
].map(([rule, points, percent]) => ({
  id: `traverse-${rule}-${points}-bias`,
  what: `excess of a ${rule} mean on a 1/7-power profile, ${points} points on a radius`,
  source: powerLaw,
  printed: percent,
  unit: '%',
  within: 5e-3,
  computed: () => bias(points, rule),
}))

export const traverseChecks: readonly Check[] = [...positions, ...logarithmic, ...biases, ...logarithmicBiases]
