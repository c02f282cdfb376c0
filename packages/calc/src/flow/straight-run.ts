/** What a short straight run before the measuring section does to flow. */
import type { Node } from '../graph.ts'
import { type Surroundings, widen } from '../surroundings.ts'

/** Widens flow or velocity for each missing quarter of the asked straight run; `place` is that of the flow readings. */
export function widenShortRun(node: Node, place: string, around: Surroundings): void {
  const { graph, edition, facts } = around
  const asked = edition.limits.minUpstream.si
  const straight = facts.straightUpstream
  if (straight === undefined || straight >= asked) return
  const missingQuarters = Math.ceil(((asked - Math.max(0, straight)) / asked) * 4 - 1e-9)
  const at = `${place}/pipe/straightUpstream`
  widen(around, 'short-straight-run', 'measure', at, at, node, graph.values[node]! * missingQuarters)
}
