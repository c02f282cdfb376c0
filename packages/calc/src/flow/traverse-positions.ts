/** Where the points of a traverse lie. */

export const TRAVERSE_RULES = ['equal-area', 'log-linear', 'log-tchebycheff'] as const
export type TraverseRule = (typeof TRAVERSE_RULES)[number]

/**
 * Distances from the near wall, as shares of the inside diameter, of the points on one radius.
 * ISO 3966 to four decimals (from memory); ISO 5802:2001, tables 2 and 3, prints those for three and four points to
 * three decimals, and ISO 3966’s five points agree with tables quoted by makers of micromanometers.
 */
const LOGARITHMIC: Readonly<Record<Exclude<TraverseRule, 'equal-area'>, Readonly<Record<number, readonly number[]>>>> =
  {
    'log-linear': {
      3: [0.0321, 0.1349, 0.3207],
      4: [0.021, 0.1171, 0.1839, 0.3452],
      5: [0.0189, 0.0765, 0.1525, 0.2171, 0.3612],
    },
    'log-tchebycheff': {
      3: [0.0321, 0.1374, 0.3123],
      4: [0.0238, 0.1, 0.1938, 0.3343],
      5: [0.0189, 0.0764, 0.1554, 0.215, 0.3567],
    },
  }

/** Mirrors the points of the near radius to the far side. */
const acrossPipe = (near: readonly number[]): number[] => [...near, ...near.map((share) => 1 - share).reverse()]

/** True if the rule has positions for this number of points on a radius. */
export const ruleHasCount = (rule: TraverseRule, pointsPerRadius: number): boolean =>
  rule === 'equal-area' || LOGARITHMIC[rule][pointsPerRadius] !== undefined

function positionsOf(rule: TraverseRule, pointsPerRadius: number): readonly number[] | undefined {
  if (rule === 'equal-area') return equalAreaPositions(pointsPerRadius)
  const near = LOGARITHMIC[rule][pointsPerRadius]
  return near === undefined ? undefined : acrossPipe(near)
}

/** By the points on one radius, 0 to 10: a diameter of a sheet has at most twenty points. */
const upToTen = (rule: TraverseRule) => Array.from({ length: 11 }, (_, n) => positionsOf(rule, n))
const POSITIONS: Readonly<Record<TraverseRule, readonly (readonly number[] | undefined)[]>> = {
  'equal-area': upToTen('equal-area'),
  'log-linear': upToTen('log-linear'),
  'log-tchebycheff': upToTen('log-tchebycheff'),
}

/**
 * Distances from the wall, as shares of the inside diameter, of the points of a rule, from wall to wall.
 * All three rules give each point the same weight. Undefined for a number of points that the rule does not have.
 */
export const traversePositions = (rule: TraverseRule, pointsPerRadius: number): readonly number[] | undefined =>
  POSITIONS[rule][pointsPerRadius]

/**
 * Distances from the wall, as shares of the inside diameter, of the points of an equal-area traverse:
 * y/D = (1 − √((2i − 1)/(2n)))/2 for i = n … 1, mirrored for the far side.
 * The middle of each of n rings of equal area; 40 CFR 60, appendix A-1, Method 1, table 1-2 prints them.
 *
 * @param pointsPerRadius 1 to 10
 * @returns 2 × pointsPerRadius shares, from wall to wall
 */
export function equalAreaPositions(pointsPerRadius: number): number[] {
  const near: number[] = []
  for (let i = pointsPerRadius; i >= 1; i--) near.push((1 - Math.sqrt((2 * i - 1) / (2 * pointsPerRadius))) / 2)
  return acrossPipe(near)
}
