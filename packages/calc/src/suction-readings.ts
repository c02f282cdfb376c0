/** What is read on the suction side of a booster. Heights are counted from the centre of the discharge pipe. */
import { type Static, Type } from 'typebox'
import { oneOf } from './one-of.ts'
import { positiveReading, reading, widthReading } from './readings.ts'

const GAUGE_HEIGHT = 'Centre of the gauge above the centre of the discharge pipe; negative if below.'
const GAUGE_ZERO = 'What the gauge shows when vented; subtracted from the reading.'

const VacuumCheck = Type.Object(
  {
    reading: reading('pressure', 'Gauge pressure at the suction tap; a vacuum is negative.'),
    gaugeHeightAboveDischargeCentre: Type.Optional(reading('length', GAUGE_HEIGHT)),
    gaugeZero: Type.Optional(reading('pressure', GAUGE_ZERO)),
  },
  {
    title: 'VacuumCheck',
    description: 'A gauge at the suction tap, read to check the height of the surface; it does not enter the head.',
    additionalProperties: false,
  },
)

export const OpenSurface = Type.Object(
  {
    method: Type.Literal('open-surface', { description: 'The booster draws from a pond, canal or sump.' }),
    waterSurfaceAboveDischargeCentre: reading(
      'length',
      'Surface of the water above the centre of the discharge pipe; negative if below.',
    ),
    vacuumCheck: Type.Optional(VacuumCheck),
  },
  { title: 'OpenSurface', description: 'Suction from an open surface.', additionalProperties: false },
)

export const SuctionGauge = Type.Object(
  {
    method: Type.Literal('gauge', {
      description: 'The booster draws from a pipe; a gauge is read at the suction tap.',
    }),
    reading: reading('pressure', 'Gauge pressure at the suction tap, 0 = atmosphere; a vacuum is negative.'),
    gaugeHeightAboveDischargeCentre: Type.Optional(reading('length', GAUGE_HEIGHT)),
    gaugeZero: Type.Optional(reading('pressure', GAUGE_ZERO)),
    swing: Type.Optional(
      widthReading('pressure', 'PressureSwing', 'Width of the needle’s swing, highest less lowest.'),
    ),
    insideDiameterAtTap: Type.Optional(positiveReading('length', 'Inside diameter of the pipe at the suction tap.')),
  },
  { title: 'SuctionGauge', description: 'Suction by a gauge.', additionalProperties: false },
)

export const Suction = oneOf('Suction', [OpenSurface, SuctionGauge])
export type Suction = Static<typeof Suction>
export type OpenSurface = Static<typeof OpenSurface>
export type SuctionGauge = Static<typeof SuctionGauge>
