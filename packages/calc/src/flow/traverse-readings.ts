/** What is read in a pitot traverse. */
import { type Static, Type } from 'typebox'
import { Code, positiveReading, reading, SwingingReading } from '../readings.ts'
import { Pipe } from './pipe.ts'
import { TRAVERSE_RULES } from './traverse-positions.ts'

const Tube = Type.Object(
  {
    coefficient: positiveReading('ratio', 'Coefficient of the tube, from its certificate.'),
    instrument: Type.Optional(Code('Code of the tube, where it is another instrument than the one named for flow.')),
  },
  { title: 'PitotTube', description: 'The pitot tube.', additionalProperties: false },
)

const Manometer = Type.Object(
  {
    fluid: Type.Enum(['air-over-water', 'liquid-under-water', 'liquid-over-water'], {
      description: 'What stands against the water in the manometer.',
    }),
    relativeDensity: Type.Optional(
      positiveReading('ratio', 'Density of the liquid relative to the water, at one temperature; not for air.'),
    ),
    resolution: Type.Optional(positiveReading('length', 'Smallest step of the scale.')),
    zeroBefore: Type.Optional(reading('length', 'Difference of the columns without flow, before the traverse.')),
    zeroAfter: Type.Optional(reading('length', 'The same after the traverse.')),
  },
  { title: 'Manometer', description: 'The manometer at the pitot tube.', additionalProperties: false },
)

const TraverseDiameter = Type.Object(
  {
    points: Type.Array(SwingingReading('length', 'Difference of the columns at one point; negative if reversed.'), {
      minItems: 1,
      maxItems: 20,
      description: 'From wall to wall: 3 to 10 points on each radius.',
    }),
    centre: Type.Optional(SwingingReading('length', 'Difference of the columns in the middle of the pipe.')),
    positions: Type.Optional(
      Type.Array(reading('length', 'Distance of a point from the near wall.'), {
        maxItems: 20,
        description: 'Where the points were, in the same order; absent if at the rule’s places.',
      }),
    ),
  },
  { title: 'TraverseDiameter', description: 'The points along one diameter.', additionalProperties: false },
)

export const PitotTraverse = Type.Object(
  {
    method: Type.Literal('pitot-traverse', { description: 'Pitot traverse.' }),
    rule: Type.Enum([...TRAVERSE_RULES], { description: 'How the points are spaced.' }),
    pipe: Pipe,
    tube: Tube,
    manometer: Manometer,
    diameters: Type.Array(TraverseDiameter, { maxItems: 3, description: 'One to three diameters.' }),
    traverseDuration: Type.Optional(positiveReading('time', 'From the first point to the last.')),
  },
  { title: 'PitotTraverse', description: 'Flow by pitot traverse.', additionalProperties: false },
)
export type PitotTraverse = Static<typeof PitotTraverse>
