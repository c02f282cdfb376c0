/** Volts, amperes and power factor: power of a supply, and how evenly its lines are loaded. */
import { type Static, Type } from 'typebox'
import { currentUnbalance } from '../formulas/current-unbalance.ts'
import { meanCurrent } from '../formulas/mean-current.ts'
import { meanVoltage } from '../formulas/mean-voltage.ts'
import { singlePhasePower } from '../formulas/single-phase-power.ts'
import { threePhasePower } from '../formulas/three-phase-power.ts'
import { voltageUnbalance } from '../formulas/voltage-unbalance.ts'
import type { LeafKind, Node } from '../graph.ts'
import { type Reading, reading } from '../readings.ts'
import { type Step, stepAt } from '../repeats.ts'
import { type DefaultName, defaultKind, leafKind, type Surroundings } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { beforeTransformers, transformerMembers } from './transformers.ts'

const POWER_FACTOR = leafKind('Power factor', 'ratio')
const VOLTAGE = leafKind('Voltage', 'voltage')
const CURRENT = leafKind('Current', 'current')

/** Members of readings by a clamp. Zero is a reading: a lost phase shows it. */
export const electricalMembers = {
  phases: Type.Enum(['three', 'single'], { description: 'Supply with three phases or with one.' }),
  voltages: Type.Optional(
    Type.Array(reading('voltage', 'Voltage between two lines, or of the single phase.'), {
      maxItems: 3,
      description: 'Voltages between the lines, one of each pair.',
    }),
  ),
  currents: Type.Optional(
    Type.Array(reading('current', 'Current of a line.'), { maxItems: 3, description: 'Currents, one of each line.' }),
  ),
  powerFactor: Type.Optional(reading('ratio', 'Power factor, 0 to 1.')),
  ...transformerMembers,
} as const

export const Electrical = Type.Object(
  {
    point: PowerPoint,
    ...electricalMembers,
    frequencies: Type.Optional(
      Type.Array(reading('frequency', 'Frequency of the supply or the drive.'), {
        maxItems: 20,
        description: 'Frequency, read once or several times in the run.',
      }),
    ),
  },
  {
    title: 'Electrical',
    description: 'Volts, amperes, power factor and frequency, read beside the method that gives input power.',
    additionalProperties: false,
  },
)

export type Electrical = Static<typeof Electrical>

interface ElectricalReadings {
  readonly point: 'supply' | 'drive-output'
  readonly phases: 'three' | 'single'
  readonly voltages?: readonly Reading[]
  readonly currents?: readonly Reading[]
  readonly powerFactor?: Reading
  readonly currentTransformer?: Reading
  readonly voltageTransformer?: Reading
}

export interface ElectricalMeasured {
  /** Power at the supply in W. */
  readonly power: Node | undefined
  readonly voltageUnbalance: Node | undefined
  readonly currentUnbalance: Node | undefined
}

/** Lets the scale error of a clamp act: one error for all its readings of a kind. */
function widenScale(node: Node, name: DefaultName, code: string | undefined, around: Surroundings): void {
  const { graph, edition, instruments } = around
  const origin = code === undefined ? `edition/${name}` : `instrument/${code}`
  const component = instruments.shared(origin, name, () => ({
    kind: defaultKind(edition, name, 'certify'),
    place: origin,
    group: origin,
    u: edition.defaults[name].u,
    dof: Infinity,
  }))
  graph.act(component, node, graph.values[node]!)
}

interface Lines {
  readonly mean: Node
  readonly lines: readonly Node[]
}

/**
 * The lines of a supply and their mean. They differ because the supply does, not because a reading scatters: each has
 * the step of the instrument, none the scatter between them.
 */
function measureLines(
  readings: readonly Reading[] | undefined,
  place: string,
  what: { readonly leaf: LeafKind; readonly mean: (lines: readonly Node[]) => Node },
  step: (value: number) => Step,
  { graph }: Surroundings,
): Lines | undefined {
  if (readings === undefined || readings.length === 0) return undefined
  const lines = readings.map((line, i) => {
    const node = graph.leaf(what.leaf, `${place}/${i}`, line)
    const { kind, u, coefficient } = step(graph.values[node]!)
    graph.act(graph.component({ kind, place: `${place}/${i}`, group: place, u, dof: Infinity }), node, coefficient)
    return node
  })
  return { mean: what.mean(lines), lines }
}

/** Lines that can be compared with their mean: all three, and a mean above zero. */
const comparable = (read: Lines | undefined, { graph }: Surroundings): read is Lines =>
  read !== undefined && read.lines.length === 3 && graph.values[read.mean]! > 0

/** Power and unbalance, as far as the readings go; `place` is that of the readings, `code` that of the clamp. */
export function measureElectrical(
  readings: ElectricalReadings,
  place: string,
  code: string | undefined,
  around: Surroundings,
): ElectricalMeasured {
  const { graph, facts, instruments } = around
  const clamp = instruments.find(code, 'power-clamp')
  const { voltages, currents, powerFactor } = readings
  const lines = readings.phases === 'three' ? 3 : 1
  if (voltages !== undefined) facts.fewestLinesRead = Math.min(voltages.length, currents?.length ?? lines)
  facts.linesOfSupply = lines
  if (powerFactor !== undefined) facts.powerFactor = toSi(powerFactor, 'ratio')

  const volts = measureLines(
    voltages,
    `${place}/voltages`,
    { leaf: VOLTAGE, mean: (lines) => graph.apply(meanVoltage, { voltages: lines }) },
    (value) => stepAt(value, clamp, 'voltage', 'panel-voltage-step', around),
    around,
  )
  const amperes = measureLines(
    currents,
    `${place}/currents`,
    { leaf: CURRENT, mean: (lines) => graph.apply(meanCurrent, { currents: lines }) },
    (value) => stepAt(value, clamp, 'current', 'panel-current-step', around),
    around,
  )
  const unbalanceOfVolts = comparable(volts, around)
    ? graph.apply(voltageUnbalance, { voltages: volts.lines })
    : undefined
  const unbalanceOfAmperes = comparable(amperes, around)
    ? graph.apply(currentUnbalance, { currents: amperes.lines })
    : undefined
  if (volts !== undefined && readings.point === 'supply') {
    const { voltageTransformer } = readings
    facts.meanVoltage = graph.values[volts.mean]! * (voltageTransformer ? toSi(voltageTransformer, 'ratio') : 1)
  }
  if (unbalanceOfVolts !== undefined) facts.voltageUnbalance = graph.values[unbalanceOfVolts]!
  if (unbalanceOfAmperes !== undefined) facts.currentUnbalance = graph.values[unbalanceOfAmperes]!

  let power: Node | undefined
  if (volts !== undefined && amperes !== undefined && powerFactor !== undefined) {
    widenScale(volts.mean, 'panel-voltage', code, around)
    widenScale(amperes.mean, 'panel-current', code, around)
    const factor = graph.leaf(POWER_FACTOR, `${place}/powerFactor`, powerFactor)
    widenScale(factor, 'panel-power-factor', code, around)
    const formula = readings.phases === 'three' ? threePhasePower : singlePhasePower
    const read = graph.apply(formula, { voltage: volts.mean, current: amperes.mean, powerFactor: factor })
    power = atSupply(beforeTransformers(read, readings, place, around), readings.point, around)
  }
  return { power, voltageUnbalance: unbalanceOfVolts, currentUnbalance: unbalanceOfAmperes }
}
