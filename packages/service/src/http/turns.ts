/** What may be said again and again about one thing is said in turns, of which the last counts. */
import { Problem } from './problem.ts'

/** As the tables count them. */
const TURNS_MAX = 1_000

/** The turn after the last one, 0 where there was none. Throws `conflict` where no more are taken. */
export function turnAfter(last: number): number {
  if (last >= TURNS_MAX) throw new Problem('conflict', `There were ${last} turns on this; no more are taken.`)
  return last + 1
}
