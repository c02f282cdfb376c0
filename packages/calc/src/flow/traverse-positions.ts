/** Where the points of a traverse lie. */

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
  return [...near, ...near.map((share) => 1 - share).reverse()]
}
