/** Unbalance of the lines of a supply: the largest distance from their mean, divided by the mean. */
import { mean } from './mean.ts'

/** The line farthest from the mean, and on which side of it. */
function farthest(values: readonly number[], middle: number): { index: number; side: number } {
  let index = 0
  for (let i = 1; i < values.length; i++)
    if (Math.abs(values[i]! - middle) > Math.abs(values[index]! - middle)) index = i
  return { index, side: Math.sign(values[index]! - middle) }
}

/** Unbalance as a ratio. */
export function unbalance(values: readonly number[]): number {
  const middle = mean(values)
  return Math.abs(values[farthest(values, middle).index]! - middle) / middle
}

/** Its partial derivatives; all zero where the lines are equal. */
export function unbalancePartials(values: readonly number[]): number[] {
  const middle = mean(values)
  const { index, side } = farthest(values, middle)
  const far = values[index]!
  // u = side · (far / middle − 1): the far line moves it directly, each line through the mean.
  return values.map((_, i) => side * ((i === index ? 1 / middle : 0) - far / (middle * middle * values.length)))
}
