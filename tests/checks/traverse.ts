/** Where the points of a traverse lie, and what an equal-area mean makes of a power-law profile. */
import { equalAreaPositions } from '../../packages/calc/src/flow/traverse-positions.ts'
import { type Check, formula, type Source } from './check.ts'

const method1: Source = {
  publication: { publisher: 'US EPA', document: '40 CFR 60, appendix A-1, Method 1', place: 'table 1-2', year: 2017 },
  basis: 'looked up',
  address: 'a public source text with the table of traverse points in percent of the diameter',
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

/** Mean over the area of a profile v = (y/R)^(1/7): 2 · 7² ÷ (8 · 15). */
const MEAN_OF_SEVENTH_POWER = 98 / 120

/** Percent by which the mean at the product's points exceeds the mean over the area. */
function bias(points: number): number {
  const velocities = equalAreaPositions(points).map((share) => (2 * Math.min(share, 1 - share)) ** (1 / 7))
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

export const traverseChecks: readonly Check[] = [...positions, ...biases]
