/**
 * The context: a snapshot of the records an evaluation leans on, as they stood.
 *
 * Plant equipment, tester qualification, instrument certificates. It is canonicalised, hashed and stored
 * with the test, so that the same evaluation can be made again by anyone who holds sheet and context.
 * Codes and figures only: no person's name, no free text.
 */
import { type Static, type TProperties, Type } from 'typebox'
import { Code, Day, positiveReading, reading } from './readings.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

const INSTRUMENT_KINDS = [
  'electric-sounder',
  'pressure-gauge',
  'pressure-transducer',
  'pitot-tube-and-manometer',
  'clamp-on-meter',
  'insertion-meter',
  'propeller-meter',
  'magnetic-meter',
  'hook-gauge',
  'water-tube',
  'power-clamp',
  'fuel-measure',
  'tachometer',
  'stopwatch',
  'thermometer',
] as const

export const Accuracy = part('Accuracy', 'How far the instrument may be off, as its certificate or class states it.', {
  percent: Type.Number({ exclusiveMinimum: 0, maximum: 100, description: 'Largest error, in percent of `of`.' }),
  of: Type.Enum(['full-scale', 'reading'], { description: 'What the percentage is taken of.' }),
  stated: Type.Enum(['limit', 'interval-95'], {
    description: '`limit`: not more than this, read as rectangular. `interval-95`: a 95 % interval, read as normal.',
  }),
})

export const Certificate = part('Certificate', 'A calibration certificate.', {
  number: Code('Number of the certificate.'),
  validFrom: Day('First day on which it stands.'),
  validUntil: Day('Last day on which it stands.'),
})

export const InstrumentRange = part('InstrumentRange', 'From where to where the instrument is certified to read.', {
  low: Type.Number({ description: 'Lowest reading, in `unit`.' }),
  high: Type.Number({ description: 'Highest reading, in `unit`; the end of its scale.' }),
  unit: Type.String({ maxLength: 20, description: 'Unit of the range.' }),
})

/** What is known of an instrument, apart from its code: shared by registry and context. */
export const InstrumentFacts = {
  kind: Type.Enum([...INSTRUMENT_KINDS], { description: 'Kind of instrument.' }),
  resolution: Type.Optional(
    Type.Object(
      {
        value: Type.Number({ exclusiveMinimum: 0, description: 'Smallest step the instrument shows.' }),
        unit: Type.String({ maxLength: 20, description: 'Unit of the step.' }),
      },
      { title: 'Resolution', description: 'Smallest step shown.', additionalProperties: false },
    ),
  ),
  fullScale: Type.Optional(positiveReading('pressure', 'End of the scale of a gauge.')),
  range: Type.Optional(InstrumentRange),
  accuracy: Type.Optional(Accuracy),
  certificate: Type.Optional(Certificate),
}

export const ContextInstrument = part('ContextInstrument', 'An instrument named on the sheet, as registered.', {
  code: Code('Code of the instrument within the firm.'),
  ...InstrumentFacts,
})

/** Equipment of a plant: what stays in place between visits. Shared by registry and context. */
export const EquipmentFacts = {
  driver: Type.Optional(Type.Enum(['electric-motor', 'engine'], { description: 'What drives the pump.' })),
  ratedPower: Type.Optional(positiveReading('power', 'Nameplate output of the driver.')),
  serviceFactor: Type.Optional(
    Type.Number({ minimum: 1, maximum: 2, description: 'Nameplate service factor, a ratio.' }),
  ),
  ratedVoltage: Type.Optional(positiveReading('voltage', 'Nameplate voltage.')),
  motorEfficiency: Type.Optional(
    Type.Number({
      exclusiveMinimum: 0,
      exclusiveMaximum: 1,
      description: 'Nameplate efficiency at full load, as a ratio.',
    }),
  ),
  motorEnclosure: Type.Optional(
    Type.Enum(['open', 'enclosed', 'submersible'], {
      description: 'Build of the motor; a table of nominal efficiencies knows open and enclosed ones.',
    }),
  ),
  motorState: Type.Optional(
    Type.Enum(['new', 'rewound', 'age-unknown'], {
      description: 'What is known of the motor’s past; a rewound one, or one of unknown age, has larger losses.',
    }),
  ),
  synchronousSpeed: Type.Optional(positiveReading('speed', 'Speed of the motor without slip, from poles and mains.')),
  coupling: Type.Optional(
    Type.Enum(['direct', 'belt', 'gear'], { description: 'What stands between motor and pump; `direct`: one speed.' }),
  ),
  transmissionEfficiency: Type.Optional(
    Type.Number({ exclusiveMinimum: 0, maximum: 1, description: 'Efficiency of belt or gear, as a ratio.' }),
  ),
  lineShaftLength: Type.Optional(positiveReading('length', 'Length of the line shaft between motor and bowls.')),
  lineShaftDiameter: Type.Optional(positiveReading('length', 'Diameter of the line shaft.')),
  lineShaftLoss: Type.Optional(
    positiveReading('power', 'Power that the whole line shaft loses, as its maker states it; else it is estimated.'),
  ),
  drive: Type.Optional(
    Type.Enum(['none', 'variable-frequency'], { description: 'Whether a variable-frequency drive feeds the motor.' }),
  ),
  driveEfficiency: Type.Optional(
    Type.Number({ exclusiveMinimum: 0, maximum: 1, description: 'Efficiency of the drive, as a ratio.' }),
  ),
  stages: Type.Optional(Type.Integer({ minimum: 1, maximum: 100, description: 'Number of bowls.' })),
  npshRequired: Type.Optional(
    positiveReading('length', 'Net positive suction head that the pump asks for at its usual flow, by its supplier.'),
  ),
  impellerAboveDischargeCentre: Type.Optional(
    reading('length', 'Eye of the first impeller of a booster above the discharge centre; negative if below.'),
  ),
  columnInsideDiameter: Type.Optional(positiveReading('length', 'Inside diameter of the column pipe.')),
  columnLength: Type.Optional(positiveReading('length', 'Length of the column pipe from the bowls to the discharge.')),
  columnRoughness: Type.Optional(positiveReading('length', 'Roughness of its wall; that of old steel if absent.')),
  columnTubeDiameter: Type.Optional(
    positiveReading('length', 'Outside diameter of the shaft, or of the tube around it, inside the column.'),
  ),
  bowlDepth: Type.Optional(positiveReading('length', 'Depth of the bowls below the level datum.')),
  wellDepth: Type.Optional(positiveReading('length', 'Depth of the well below the level datum.')),
  dischargeInsideDiameter: Type.Optional(positiveReading('length', 'Inside diameter of the discharge pipe.')),
  meterConstant: Type.Optional(positiveReading('energy-per-revolution', 'Kh of the utility meter.')),
  meterEnergyPerPulse: Type.Optional(positiveReading('energy-per-pulse', 'Energy of a pulse of the utility meter.')),
  meterPulseConstant: Type.Optional(
    positiveReading('pulses-per-energy', 'Blinks of the utility meter for a kilowatt-hour.'),
  ),
  meterSerial: Type.Optional(Code('Serial number of the utility meter.')),
  meterMultiplier: Type.Optional(
    Type.Number({ exclusiveMinimum: 0, description: 'Multiplier of the utility meter, a ratio.' }),
  ),
  highestFlow: Type.Optional(positiveReading('flow', 'Highest flow of a sound test, or the rated flow.')),
}

export const Equipment = part('Equipment', 'Equipment of the plant, from a date on.', {
  revision: Type.Integer({ minimum: 1, maximum: 100_000, description: 'Number of the revision.' }),
  effectiveFrom: Day('First day on which this equipment was in place.'),
  ...EquipmentFacts,
})

export const PLANT_KINDS = ['well', 'booster'] as const

export const ContextPlant = part('ContextPlant', 'The plant, with its equipment on the day of the test.', {
  code: Code('Code of the plant.'),
  kind: Type.Enum([...PLANT_KINDS], { description: 'Kind of plant.' }),
  region: Type.Optional(Code('Code of the region.')),
  equipment: Type.Optional(Equipment),
})

export const Qualification = part('Qualification', 'A qualification of a tester.', {
  code: Code('Code of the qualification.'),
  validFrom: Day('First day on which it stands.'),
  validUntil: Day('Last day on which it stands.'),
})

export const ContextTester = part('ContextTester', 'The tester, by code, with qualifications.', {
  code: Code('Code of the tester within the firm.'),
  qualifications: Type.Array(Qualification, { maxItems: 20, description: 'All qualifications on record.' }),
})

export const Context = part('Context', 'The records an evaluation leans on, as they stood.', {
  plant: ContextPlant,
  tester: ContextTester,
  instruments: Type.Array(ContextInstrument, { maxItems: 50, description: 'Instruments named on the sheet, by code.' }),
})

export type Context = Static<typeof Context>
export type ContextInstrument = Static<typeof ContextInstrument>
export type Equipment = Static<typeof Equipment>
