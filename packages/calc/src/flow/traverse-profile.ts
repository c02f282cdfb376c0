/** What the velocities of a traverse say about the profile, and what that does to the uncertainty of the flow. */
import { STANDARD_GRAVITY } from '../constants.ts'
import type { ComponentKind, Node } from '../graph.ts'
import { widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import type { FlowSurroundings } from './flow-method.ts'
import { widenShortRun } from './straight-run.ts'
import { columnOf, type Manometer } from './traverse-point.ts'
import { ruleHasCount, traversePositions } from './traverse-positions.ts'
import type { PitotTraverse } from './traverse-readings.ts'
import { farthestFromProfile } from './traverse-smoothness.ts'

const fromTraverse = (id: string, label: string, place: string): ComponentKind => ({
  id,
  label,
  action: 'repeat',
  source: { document: 'ISO 3966:2008', place: `${place} (item from memory)`, basis: 'from memory' },
  unit: '1',
})
const INTEGRATION = fromTraverse('traverse-integration', 'Integration over the pipe', 'uncertainty of the integration')
const ASYMMETRY = fromTraverse('traverse-asymmetry', 'Asymmetry between the diameters', 'uncertainty from asymmetry')

/** Mean of the values from one index to before another. */
function mean(values: readonly number[], from = 0, to = values.length): number {
  let sum = 0
  for (let i = from; i < to; i++) sum += values[i]!
  return sum / (to - from)
}

/** Sorts in place, by insertion: for a few dozen numbers nothing is faster. */
function sort(values: number[]): void {
  for (let i = 1; i < values.length; i++) {
    const value = values[i]!
    let k = i
    for (; k > 0 && values[k - 1]! > value; k--) values[k] = values[k - 1]!
    values[k] = value
  }
}

/** Middle of sorted values. */
function median(values: readonly number[]): number {
  const middle = values.length >> 1
  return values.length % 2 === 1 ? values[middle]! : (values[middle - 1]! + values[middle]!) / 2
}

/** Largest less smallest, relative to the mean; nothing can be said of a mean of zero. */
function spread(values: readonly number[]): number | undefined {
  const middle = Math.abs(mean(values))
  return middle === 0 ? undefined : (Math.max(...values) - Math.min(...values)) / middle
}

/** Largest distance of a stated position from the rule's, in m. */
function largestPositionError(readings: PitotTraverse, diameterM: number): number | undefined {
  let largest: number | undefined
  for (const { points, positions } of readings.diameters) {
    if (positions === undefined || positions.length !== points.length || points.length % 2 === 1) continue
    const wanted = traversePositions(readings.rule, points.length / 2)
    if (wanted === undefined) continue
    positions.forEach((position, i) => {
      const error = Math.abs(toSi(position, 'length') - wanted[i]! * diameterM)
      if (largest === undefined || error > largest) largest = error
    })
  }
  return largest
}

/** Finds the point farthest from a smooth profile, over all diameters. */
function collectSmoothness(
  { rule, diameters }: PitotTraverse,
  velocities: readonly (readonly number[])[],
  { facts }: FlowSurroundings,
): void {
  const { pipeDiameter } = facts
  for (let d = 0; d < velocities.length; d++) {
    const along = velocities[d]!
    const { positions } = diameters[d]!
    const ofRule = positions === undefined
    if (!ofRule && pipeDiameter === undefined) continue
    const shares = ofRule
      ? along.length % 2 === 0
        ? traversePositions(rule, along.length / 2)
        : undefined
      : positions.map((position) => toSi(position, 'length') / pipeDiameter!)
    const off = shares && farthestFromProfile(along, shares, ofRule)
    if (off === undefined || off.residual <= (facts.profileResidual ?? -1)) continue
    facts.profileResidual = off.residual
    facts.pointOffProfile = off.point + 1
    facts.diameterOffProfile = d + 1
  }
}

/** Collects what findings look at. `velocities` by diameter in m/s. */
export function collectTraverseFacts(
  readings: PitotTraverse,
  velocities: readonly (readonly number[])[],
  meanVelocity: number,
  manometer: Manometer,
  around: FlowSurroundings,
): void {
  const { facts, graph, edition } = around
  const columns: number[] = []
  facts.diameterCount = readings.diameters.length
  facts.meanVelocity = meanVelocity
  let asymmetry = 0
  let wall = Number.NEGATIVE_INFINITY
  let fewest = Number.POSITIVE_INFINITY
  let odd = false
  for (let d = 0; d < velocities.length; d++) {
    const along = velocities[d]!
    const n = along.length
    for (const point of readings.diameters[d]!.points) columns.push(columnOf(point))
    fewest = Math.min(fewest, n)
    odd ||= n % 2 === 1
    wall = Math.max(wall, along[0]!, along[n - 1]!)
    const half = n >> 1
    const middle = Math.abs(mean(along))
    if (half > 0 && middle > 0)
      asymmetry = Math.max(asymmetry, Math.abs(mean(along, 0, half) - mean(along, n - half)) / middle)
  }
  facts.fewestPoints = fewest
  facts.countNotOfRule = readings.diameters.some(
    ({ points }) => points.length % 2 === 0 && !ruleHasCount(readings.rule, points.length / 2),
  )
  facts.oddPointCount = odd
  facts.pointCount = columns.length
  facts.largestWallVelocity = wall
  facts.profileAsymmetry = asymmetry
  sort(columns)
  facts.smallestColumn = columns[0]!
  facts.medianColumn = median(columns)
  facts.manometerStep = toSi(manometer.step ?? edition.defaults['manometer-resolution'], 'length')
  if (velocities.length >= 2) facts.velocitySpreadOfDiameters = spread(velocities.map((along) => mean(along)))
  const { zeroBefore, zeroAfter } = readings.manometer
  if (zeroBefore && zeroAfter) facts.manometerZeroDrift = toSi(zeroAfter, 'length') - toSi(zeroBefore, 'length')
  if (readings.traverseDuration) facts.traverseDuration = toSi(readings.traverseDuration, 'time')
  if (facts.pipeDiameter !== undefined) facts.largestPositionError = largestPositionError(readings, facts.pipeDiameter)

  collectSmoothness(readings, velocities, around)

  const centres = readings.diameters.flatMap(({ centre }) => (centre === undefined ? [] : [columnOf(centre)]))
  if (centres.length > 0) {
    const factor =
      graph.values[manometer.coefficient]! * Math.sqrt(2 * STANDARD_GRAVITY * graph.values[manometer.factor]!)
    facts.centreVelocity = mean(centres.map((column) => (column < 0 ? -1 : 1) * factor * Math.sqrt(Math.abs(column))))
  }
}

/** Lets the causes that belong to the traverse as a whole act on its mean velocity. */
export function widenTraverse(
  readings: PitotTraverse,
  velocity: Node,
  velocities: readonly (readonly number[])[],
  place: string,
  group: string,
  around: FlowSurroundings,
): void {
  const { graph, edition, facts } = around
  const value = graph.values[velocity]!
  const perRadius = Math.min(10, Math.floor(facts.fewestPoints! / 2))
  const integration = graph.component({
    kind: INTEGRATION,
    place: 'edition/traverse-integration',
    group,
    u: edition.traverseIntegration[readings.rule][perRadius]!,
    dof: Infinity,
  })
  graph.act(integration, velocity, value)
  widen(around, 'traverse-fluctuation', 'repeat', 'edition/traverse-fluctuation', group, velocity, value)
  widen(around, 'traverse-position', 'repeat', 'edition/traverse-position', group, velocity, value)
  if (velocities.length === 1)
    widen(around, 'traverse-on-one-diameter', 'repeat', 'edition/traverse-on-one-diameter', group, velocity, value)
  else {
    const half = (facts.velocitySpreadOfDiameters ?? 0) / 2
    const u = half / Math.sqrt(3)
    if (u > 0) graph.act(graph.component({ kind: ASYMMETRY, place: group, group, u, dof: Infinity }), velocity, value)
  }
  widenShortRun(velocity, place, around)
}
