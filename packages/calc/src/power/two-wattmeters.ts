/** Input power of three lines by two wattmeters, read by qualified staff. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { driveInputPower } from '../formulas/drive-input-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { primaryPower } from '../formulas/primary-power.ts'
import { twoWattmeterPower } from '../formulas/two-wattmeter-power.ts'
import { twoWattmeterPowerFactor } from '../formulas/two-wattmeter-power-factor.ts'
import type { Node } from '../graph.ts'
import { type Reading, reading } from '../readings.ts'
import { stepAt } from '../repeats.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { definePowerMethod, type PowerMeasured } from './power-method.ts'
import { supplyMembers, withoutOtherLoads } from './supply.ts'
import { beforeTransformers, transformerMembers } from './transformers.ts'

const WATTMETER = leafKind('Power by one wattmeter', 'power')

const schema = Type.Object(
  {
    method: Type.Literal('two-wattmeters', { description: 'Two wattmeters on a supply of three lines.' }),
    point: PowerPoint,
    first: reading('power', 'First wattmeter, with its sign.'),
    second: reading('power', 'Second wattmeter, with its sign: negative below a power factor of one half.'),
    ...transformerMembers,
    ...supplyMembers,
  },
  {
    title: 'TwoWattmeters',
    description: 'Input power by two wattmeters. Connected and read inside a panel by qualified staff only.',
    additionalProperties: false,
  },
)
type TwoWattmeters = Static<typeof schema>

function wattmeter(shown: Reading, at: string, around: Surroundings): Node {
  const { graph } = around
  const node = graph.leaf(WATTMETER, at, shown)
  const { kind, u, coefficient } = stepAt(Math.abs(graph.values[node]!), undefined, 'power', 'display-step', around)
  graph.act(graph.component({ kind, place: at, group: at, u, dof: Infinity }), node, coefficient)
  return node
}

function measure(readings: TwoWattmeters, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts } = around
  facts.otherLoads = readings.otherLoads
  const first = wattmeter(readings.first, `${place}/first`, around)
  const second = wattmeter(readings.second, `${place}/second`, around)
  const sum = graph.apply(twoWattmeterPower, { first, second })
  widen(around, 'wattmeter-class', 'better-instrument', place, place, sum, graph.values[sum]!)
  const read = graph.values[first] !== 0 || graph.values[second] !== 0
  const powerFactor = read ? graph.apply(twoWattmeterPowerFactor, { first, second }) : undefined
  if (powerFactor !== undefined) facts.powerFactor = graph.values[powerFactor]!
  const supply = atSupply(beforeTransformers(sum, readings, place, around), readings.point, around)
  return {
    power: withoutOtherLoads(supply, readings, place, around),
    spread: undefined,
    ...(powerFactor !== undefined && { powerFactor }),
  }
}

export const twoWattmeters = definePowerMethod({
  id: 'two-wattmeters',
  title: 'Two wattmeters',
  schema,
  formulas: [
    twoWattmeterPower,
    twoWattmeterPowerFactor,
    primaryPower,
    driveInputPower,
    inputPower,
  ] as unknown as readonly AnyFormula[],
  source: { document: 'general electrical engineering', place: 'two-wattmeter method', basis: 'from memory' },
  cautions: ['electrical-panel', 'arc-flash', 'capacitors-and-drives', 'current-transformers', 'lock-out', 'alone'],
  measure,
})
