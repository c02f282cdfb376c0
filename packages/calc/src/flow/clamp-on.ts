/** What both ways of reading a clamp-on meter share: how it sits on the pipe, and what it shows without flow. */
import { type Static, Type } from 'typebox'
import { zeroedRate } from '../formulas/zeroed-rate.ts'
import { zeroedVelocity } from '../formulas/zeroed-velocity.ts'
import type { Node } from '../graph.ts'
import { positiveReading, type Reading, reading } from '../readings.ts'
import { type DefaultName, leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import type { FlowSurroundings } from './flow-method.ts'
import type { Pipe } from './pipe.ts'

const ZERO_RATE = leafKind('Rate shown without flow', 'flow')
const ZERO_VELOCITY = leafKind('Velocity shown without flow', 'velocity')

/** Members that every clamp-on meter has. */
export const clampOnMembers = {
  deviceDiameter: Type.Optional(positiveReading('length', 'Inside diameter set in the device.')),
  signalShare: Type.Optional(reading('ratio', 'Signal as a share of the full figure of the device.')),
  pipeMaterial: Type.Optional(
    Type.Enum(
      [
        'steel',
        'stainless-steel',
        'cast-iron',
        'ductile-iron',
        'aluminium',
        'pvc',
        'polyethylene',
        'concrete',
        'other',
      ],
      { description: 'Material of the pipe as set in the device.' },
    ),
  ),
  lining: Type.Optional(
    Type.Enum(['none', 'cement-mortar', 'epoxy', 'rubber', 'other'], {
      description: 'Lining of the pipe; its thickness belongs to the pipe.',
    }),
  ),
  mounting: Type.Optional(
    Type.Enum(['z', 'v', 'w'], {
      description:
        'Path of the sound: `z` straight across, sensors on both sides; `v` there and back, sensors on one side; `w` there and back twice.',
    }),
  ),
  spacingAsked: Type.Optional(positiveReading('length', 'Distance of the sensors that the device asked for.')),
  spacingSet: Type.Optional(positiveReading('length', 'Distance of the sensors as measured on the pipe.')),
} as const

const ClampOn = Type.Object({ ...clampOnMembers, pipe: Type.Optional(Type.Unsafe<Pipe>({})) })
type ClampOn = Static<typeof ClampOn>

/** Fills in what findings look at. */
export function collectClampOn(readings: ClampOn, { facts }: FlowSurroundings): void {
  if (readings.deviceDiameter) facts.deviceDiameter = toSi(readings.deviceDiameter, 'length')
  if (readings.signalShare) facts.signalShare = toSi(readings.signalShare, 'ratio')
  if (readings.spacingAsked) facts.sensorSpacingAsked = toSi(readings.spacingAsked, 'length')
  if (readings.spacingSet) facts.sensorSpacingSet = toSi(readings.spacingSet, 'length')
  facts.liningNotMeasured = readings.lining !== undefined && liningIsUnknown(readings)
}

/** True for a lining whose thickness was not given. A diameter read inside tells nothing of it: the sound passes it. */
const liningIsUnknown = ({ lining, pipe }: ClampOn): boolean =>
  lining !== undefined && lining !== 'none' && pipe?.liningThickness === undefined

/** True where the sensors stand where the device asked for them, or nothing was said of it. */
function spacingFits({ spacingAsked, spacingSet }: ClampOn, { edition }: FlowSurroundings): boolean {
  if (spacingAsked === undefined || spacingSet === undefined) return true
  const off = Math.abs(toSi(spacingSet, 'length') / toSi(spacingAsked, 'length') - 1)
  return off <= edition.limits.maxSpacingError.si * (1 + 1e-9)
}

/** Default for the scale of a clamp-on meter: better on a pipe that was measured and lets the sound through. */
export function clampOnScale(readings: ClampOn, around: FlowSurroundings): DefaultName {
  const { pipe, signalShare } = readings
  const known = pipe !== undefined && pipe.diameterBasis !== 'pipe-table' && !liningIsUnknown(readings)
  const clear = signalShare === undefined || toSi(signalShare, 'ratio') >= around.edition.limits.minSignal.si
  return known && clear && spacingFits(readings, around) ? 'clamp-on-meter' : 'clamp-on-meter-doubtful'
}

/** What the meter shows less what it shows without flow, where that was read. `place` is that of the flow readings. */
export function lessZero(
  shown: Node,
  dimension: 'flow' | 'velocity',
  zeroFlow: Reading | undefined,
  place: string,
  around: FlowSurroundings,
): Node {
  if (zeroFlow === undefined) return shown
  const { graph, facts } = around
  const at = `${place}/zeroFlow`
  const zero = graph.leaf(dimension === 'flow' ? ZERO_RATE : ZERO_VELOCITY, at, zeroFlow)
  const value = graph.values[zero]!
  widen(around, 'zero-flow', 'repeat', at, at, zero, Math.abs(value))
  facts.zeroFlowShare = value / graph.values[shown]!
  return dimension === 'flow' ? graph.apply(zeroedRate, { shown, zero }) : graph.apply(zeroedVelocity, { shown, zero })
}
