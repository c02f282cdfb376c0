/** The motor and what stands between it and the pump: load, powers at both shafts, efficiency of the pump itself. */
import type { Equipment } from './context.ts'
import { lineShaftLoss } from './formulas/line-shaft-loss.ts'
import { motorInputPower } from './formulas/motor-input-power.ts'
import { motorLoad } from './formulas/motor-load.ts'
import { motorOutputPower } from './formulas/motor-output-power.ts'
import { pumpEfficiency } from './formulas/pump-efficiency.ts'
import { pumpShaftPower } from './formulas/pump-shaft-power.ts'
import { waterPower } from './formulas/water-power.ts'
import type { LeafKind, Node } from './graph.ts'
import { driveEfficiencyNode } from './power/drive.ts'
import { nominalMotorEfficiency } from './power/motor-tables.ts'
import type { PlantKind, Run } from './sheet.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import { toSi } from './units.ts'
import type { Quantities } from './visit.ts'

const RATED_POWER = leafKind('Rated power of the motor', 'power')
const MOTOR_EFFICIENCY = leafKind('Efficiency of the motor', 'ratio')
const TRANSMISSION = leafKind('Efficiency of belt or gear', 'ratio')
const SHAFT_LENGTH = leafKind('Length of the line shaft', 'length')
const SHAFT_DIAMETER = leafKind('Diameter of the line shaft', 'length')
const SHAFT_SPEED = leafKind('Speed of the line shaft', 'speed')
const SHAFT_LOSS = leafKind('Loss of the line shaft', 'power')
/** Of the line shaft: power for speed, length and square of the diameter. */
const FRICTION: LeafKind = {
  title: 'Friction of the line shaft',
  unit: 'J/m3',
  toSi: ({ value }) => value,
  unitSize: () => 1,
}

/**
 * Efficiency of the motor: of its nameplate, else the nominal one of the tables, less for a motor that may not be new.
 * A submersible motor is in no table.
 */
function motorEfficiencyNode(equipment: Equipment, around: Surroundings): Node | undefined {
  const { graph, edition } = around
  const { motorEfficiency, motorEnclosure, ratedPower, synchronousSpeed, motorState, drive } = equipment
  const leafAt = (at: string, value: number, losses: 'motor-losses' | 'motor-losses-not-new'): Node => {
    const node = graph.leaf(MOTOR_EFFICIENCY, at, { value, unit: '1' })
    widen(around, losses, 'measure', at, at, node, 1 - value)
    if (drive === 'variable-frequency') widen(around, 'motor-on-drive', 'measure', at, at, node, 1)
    return node
  }
  if (motorEfficiency !== undefined) return leafAt('plant/equipment/motorEfficiency', motorEfficiency, 'motor-losses')
  if (!ratedPower || !synchronousSpeed || motorEnclosure === undefined || motorEnclosure === 'submersible')
    return undefined
  const nominal = nominalMotorEfficiency(toSi(ratedPower, 'power'), toSi(synchronousSpeed, 'speed'), motorEnclosure)
  if (nominal === undefined) return undefined
  return motorState === 'new'
    ? leafAt('edition/motor-efficiency', nominal, 'motor-losses')
    : leafAt(
        'edition/motor-efficiency-not-new',
        1 - (1 - nominal) * edition.settings.lossesOfOldMotor,
        'motor-losses-not-new',
      )
}

/** Efficiency of what stands between motor and pump; undefined where the record does not say what that is. */
function transmissionNode({ coupling, transmissionEfficiency }: Equipment, around: Surroundings): Node | undefined {
  const { graph, edition } = around
  if (coupling === undefined) return undefined
  if (coupling === 'direct') return graph.leaf(TRANSMISSION, 'plant/equipment/coupling', { value: 1, unit: '1' })
  const at =
    transmissionEfficiency === undefined
      ? `edition/transmission-efficiency-of-${coupling}`
      : 'plant/equipment/transmissionEfficiency'
  const value = transmissionEfficiency ?? edition.settings.transmissionEfficiencyNotStated[coupling]
  const node = graph.leaf(TRANSMISSION, at, { value, unit: '1' })
  widen(around, 'transmission-efficiency', 'measure', at, at, node, 1)
  return node
}

/** Mean speed of the pump as read, else the synchronous one of a motor without a drive. */
function shaftSpeed({ speeds }: Run, { synchronousSpeed, drive, coupling }: Equipment) {
  if (speeds !== undefined && speeds.length > 0) {
    const sum = speeds.reduce((total, speed) => total + toSi(speed, 'speed'), 0)
    return { at: '/speeds', value: (sum / speeds.length) * 60 }
  }
  if (!synchronousSpeed || drive === 'variable-frequency' || coupling !== 'direct') return undefined
  return { at: 'plant/equipment/synchronousSpeed', value: toSi(synchronousSpeed, 'speed') * 60 }
}

/** What the line shaft takes: nothing where there is none; undefined where the record does not let it be known. */
function shaftLossNode(
  run: Run,
  place: string,
  kind: PlantKind,
  equipment: Equipment,
  around: Surroundings,
): Node | undefined {
  const { graph, edition } = around
  const { lineShaftLoss: stated, lineShaftLength, lineShaftDiameter, motorEnclosure } = equipment
  if (kind === 'booster' || motorEnclosure === 'submersible')
    return graph.leaf(SHAFT_LOSS, 'plant/equipment/no-line-shaft', { value: 0, unit: 'W' })
  if (stated !== undefined) {
    const at = 'plant/equipment/lineShaftLoss'
    const loss = graph.leaf(SHAFT_LOSS, at, stated)
    widen(around, 'line-shaft-loss-stated', 'measure', at, at, loss, graph.values[loss]!)
    return loss
  }
  const speed = shaftSpeed(run, equipment)
  if (lineShaftLength === undefined || lineShaftDiameter === undefined || speed === undefined) return undefined
  const at = 'edition/line-shaft-friction'
  const friction = graph.leaf(FRICTION, at, { value: edition.settings.lineShaftFriction, unit: 'J/m3' })
  widen(around, 'line-shaft-friction', 'measure', at, at, friction, graph.values[friction]!)
  return graph.apply(lineShaftLoss, {
    friction,
    speed: graph.leaf(SHAFT_SPEED, speed.at.startsWith('/') ? `${place}${speed.at}` : speed.at, {
      value: speed.value,
      unit: 'rpm',
    }),
    diameter: graph.leaf(SHAFT_DIAMETER, 'plant/equipment/lineShaftDiameter', lineShaftDiameter),
    length: graph.leaf(SHAFT_LENGTH, 'plant/equipment/lineShaftLength', lineShaftLength),
  })
}

/** Load of the motor and the powers at its shaft and at the pump, as far as the record goes. Not for engines. */
export function measureMotor(
  run: Run,
  place: string,
  kind: PlantKind,
  inputPower: Node,
  quantities: Quantities,
  around: Surroundings,
): void {
  const { graph, equipment } = around
  if (equipment === undefined || equipment.driver === 'engine') return
  const motorEfficiency = motorEfficiencyNode(equipment, around)
  if (motorEfficiency === undefined) return
  const motorPower =
    equipment.drive === 'variable-frequency'
      ? graph.apply(motorInputPower, { inputPower, driveEfficiency: driveEfficiencyNode(around) })
      : inputPower
  if (equipment.ratedPower) {
    const ratedPower = graph.leaf(RATED_POWER, 'plant/equipment/ratedPower', equipment.ratedPower)
    quantities.set('motor-load', graph.apply(motorLoad, { motorPower, motorEfficiency, ratedPower }))
  }
  const motorOutput = graph.apply(motorOutputPower, { motorPower, motorEfficiency })
  quantities.set('motor-output-power', motorOutput)
  const transmissionEfficiency = transmissionNode(equipment, around)
  if (transmissionEfficiency === undefined) return
  const shaftLoss = shaftLossNode(run, place, kind, equipment, around)
  if (shaftLoss === undefined) return
  const power = graph.apply(pumpShaftPower, { motorOutput, transmissionEfficiency, shaftLoss })
  if (graph.values[power]! > 0) quantities.set('pump-shaft-power', power)
}

/**
 * Efficiency of the pump itself, where the power at the pump is known: on the head of the bowls where the friction of the
 * column is known, else on total dynamic head, to which that friction is a loss of the pump.
 */
export function addPumpEfficiency(
  delivered: Node,
  water: { readonly density: Node; readonly flow: Node },
  quantities: Quantities,
  { graph }: Pick<Surroundings, 'graph'>,
): void {
  const shaftPower = quantities.get('pump-shaft-power')
  if (shaftPower === undefined) return
  const head = quantities.get('bowl-head')
  const ofBowls = head === undefined ? delivered : graph.apply(waterPower, { ...water, head })
  quantities.set('pump-efficiency', graph.apply(pumpEfficiency, { waterPower: ofBowls, shaftPower }))
}
