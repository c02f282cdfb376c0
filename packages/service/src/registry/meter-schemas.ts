/** Meters of a plant on the wire, and what a plant is found by. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Code, Day, Plant, part } from './schemas.ts'

export const MeterToRecord = Type.Object(
  {
    number: Code('Number on the utility meter.'),
    from: Day('First day on which the meter was in place.'),
    until: Type.Optional(Day('Last day on which it was in place; absent while it is.')),
    mistaken: Type.Optional(
      Type.Boolean({ description: 'True takes back what was recorded of this number and first day by mistake.' }),
    ),
  },
  { title: 'MeterToRecord', description: 'A utility meter of a plant, from a day on.', ...part },
)
export const Meter = Type.Object(
  {
    number: Code('Number on the utility meter.'),
    from: Day('First day on which the meter was in place.'),
    until: Type.Optional(Day('Last day on which it was in place.')),
  },
  { title: 'Meter', description: 'A utility meter of a plant, by the last word on it.', ...part },
)
export type Meter = Static<typeof Meter>
export const MeterPage = Page('MeterPage', Meter)

export const PlantLookup = Type.Object(
  {
    outcome: Type.Enum(['accessible', 'exists', 'unknown'], {
      description:
        '`accessible`: the plants are shown. `exists`: there is one that this firm has no access to. `unknown`: nobody ' +
        'registered one.',
    }),
    plants: Type.Array(Plant, { maxItems: 50, description: 'Plants this firm has access to.' }),
    ask: Type.Optional(Type.String({ maxLength: 400, description: 'How to ask for access, or what to do instead.' })),
  },
  { title: 'PlantLookup', description: 'What a firm at a plant may learn from its code or meter number.', ...part },
)
export type PlantLookup = Static<typeof PlantLookup>
