/** What only several runs together can show: heads on one falling curve, drawdown that follows flow. */
import type { Facts } from './facts.ts'
import { exceeds, fallsShort } from './finding.ts'
import type { Say } from './say.ts'

/** True if the pump turned at one speed in both runs, as far as it is known. */
function atOneSpeed(a: Facts, b: Facts, spread: number): boolean {
  if (a.speed !== undefined && b.speed !== undefined)
    return !exceeds(Math.abs(a.speed - b.speed), (spread * (a.speed + b.speed)) / 2)
  // Without a drive a motor has one speed; with one it must have been read.
  return a.hasDrive !== true
}

/** First pair of runs for which `conflict` holds, as text. */
function firstPair(
  runs: readonly Facts[],
  conflict: (a: Facts, b: Facts) => boolean,
  tell: (a: number, b: number) => string,
): string | undefined {
  for (let a = 0; a < runs.length; a++)
    for (let b = 0; b < runs.length; b++) if (a !== b && conflict(runs[a]!, runs[b]!)) return tell(a, b)
  return undefined
}

/** More head at more flow from one pump at one speed. */
export function curveConflict(
  runs: readonly Facts[],
  tolerance: number,
  speedSpread: number,
  say: Say,
): string | undefined {
  const has = ({ flow, totalDynamicHead }: Facts) => flow !== undefined && totalDynamicHead !== undefined
  return firstPair(
    runs,
    (a, b) =>
      has(a) &&
      has(b) &&
      atOneSpeed(a, b, speedSpread) &&
      a.flow! < b.flow! &&
      fallsShort(a.totalDynamicHead!, b.totalDynamicHead! * (1 - tolerance)),
    (a, b) =>
      `Run ${a + 1} gave ${say.flow(runs[a]!.flow!)} at ${say.length(runs[a]!.totalDynamicHead!)}, run ${b + 1} gave ${say.flow(runs[b]!.flow!)} at ${say.length(runs[b]!.totalDynamicHead!)}`,
  )
}

/** More flow with less drawdown. */
export function drawdownConflict(runs: readonly Facts[], ratio: number, say: Say): string | undefined {
  const has = ({ flow, drawdown }: Facts) => flow !== undefined && drawdown !== undefined
  return firstPair(
    runs,
    (a, b) => has(a) && has(b) && exceeds(a.flow!, ratio * b.flow!) && fallsShort(a.drawdown!, b.drawdown!),
    (a, b) =>
      `Run ${a + 1} pumped ${say.flow(runs[a]!.flow!)} with a drawdown of ${say.length(runs[a]!.drawdown!)}, run ${b + 1} pumped ${say.flow(runs[b]!.flow!)} with ${say.length(runs[b]!.drawdown!)}`,
  )
}
