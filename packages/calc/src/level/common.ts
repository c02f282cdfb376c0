/** What all ways of reading a level share: the measuring point, oil on the water, water falling down the casing. */
import { type Static, type TObject, Type } from 'typebox'
import { oilInterfaceLevel } from '../formulas/oil-interface-level.ts'
import { oilTopLevel } from '../formulas/oil-top-level.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import type { Node } from '../graph.ts'
import { Code, positiveReading, reading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import type { LevelSurroundings } from './level-method.ts'

const MEASURING_POINT = leafKind('Measuring point above the level datum', 'length')
const OIL_THICKNESS = leafKind('Thickness of the oil', 'length')
const OIL_DENSITY = leafKind('Relative density of the oil', 'ratio')

export const levelMembers = {
  mark: Type.Optional(Code('Code of the measuring point, for example access-edge.')),
  measuringPointAboveDatum: Type.Optional(
    reading('length', 'Measuring point above the level datum; negative if below; absent if it is the datum.'),
  ),
  cascadingWater: Type.Optional(
    Type.Boolean({ description: 'True if water was heard or seen falling down the casing.' }),
  ),
} as const

/** Of devices that look for the surface: what lies on the water changes what they find. */
export const oilMembers = {
  oil: Type.Optional(
    Type.Object(
      {
        thickness: Type.Optional(positiveReading('length', 'Thickness of the oil, if both its faces were found.')),
        relativeDensity: Type.Optional(positiveReading('ratio', 'Density of the oil relative to water.')),
      },
      {
        title: 'OilOnWater',
        description: 'Oil that floats on the water of the well.',
        additionalProperties: false,
      },
    ),
  ),
} as const

const Members: TObject<typeof levelMembers> = Type.Object(levelMembers)
const OilMembers: TObject<typeof oilMembers> = Type.Object(oilMembers)

/** Depth below the level datum from one below the measuring point. */
export function belowDatum(tape: Node, readings: Static<typeof Members>, around: LevelSurroundings): Node {
  const point = readings.measuringPointAboveDatum
  if (point === undefined) return tape
  const { graph, place } = around
  const at = `${place}/measuringPointAboveDatum`
  const measuringPoint = graph.leaf(MEASURING_POINT, at, point)
  widen(around, 'gauge-height', 'measure', at, place, measuringPoint, 1)
  return graph.apply(soundedLevel, { tape, measuringPoint })
}

/**
 * Depth that water alone would have. An electric probe answers where oil and water meet, sound at the top of the oil.
 * Where the thickness is not known the level stands as found, with what the oil may hide in its uncertainty.
 */
export function withoutOil(
  reached: Node,
  face: 'interface' | 'top',
  { oil }: Static<typeof OilMembers>,
  around: LevelSurroundings,
): Node {
  if (oil === undefined) return reached
  const { graph, edition, place } = around
  if (oil.thickness === undefined) {
    widen(around, 'oil-thickness-not-read', 'measure', `${place}/oil`, `${place}/oil`, reached, 1)
    return reached
  }
  const thicknessAt = `${place}/oil/thickness`
  const thickness = graph.leaf(OIL_THICKNESS, thicknessAt, oil.thickness)
  widen(around, 'oil-thickness', 'repeat', thicknessAt, thicknessAt, thickness, 1)
  const densityAt = oil.relativeDensity === undefined ? 'edition/oil-density' : `${place}/oil/relativeDensity`
  const value =
    oil.relativeDensity === undefined ? edition.settings.oilDensityNotRead : toSi(oil.relativeDensity, 'ratio')
  const relativeDensity = graph.leaf(OIL_DENSITY, densityAt, { value, unit: '1' })
  widen(around, 'oil-density', 'measure', densityAt, densityAt, relativeDensity, 1)
  return graph.apply(face === 'interface' ? oilInterfaceLevel : oilTopLevel, { reached, thickness, relativeDensity })
}
