/**
 * The sheet: everything read on one visit, in numbers, units, codes and times.
 *
 * No personal data and no free text: those belong to the test's notes, which can be erased.
 * A reading that was not made is absent; what its absence means is a finding, not an error.
 * Each object has a `title`, which becomes its name in the API description.
 */

import { type Static, type TProperties, Type } from 'typebox'
import { PLANT_KINDS } from './context.ts'
import { FlowReadings, GrowersMeter } from './flow/flow-of-run.ts'
import { LevelReading } from './level/list.ts'
import { Electrical } from './power/electrical.ts'
import { PowerReadings } from './power/list.ts'
import { PURPOSES } from './purposes.ts'
import { Code, Day, Instant, positiveReading, reading, widthReading } from './readings.ts'
import { Suction } from './suction-readings.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

/** What may be left out, by the name used in `leftOut`. */
export const LEFT_OUT_READINGS = [
  'standing-level',
  'pumping-level',
  'discharge-pressure',
  'gauge-height',
  'discharge-centre-height',
  'suction',
  'flow',
  'pipe-diameter',
  'power',
  'meter-constant',
  'meter-multiplier',
  'voltages',
  'currents',
  'power-factor',
  'speed',
  'water-temperature',
  'nameplate',
] as const

/** Why a plant could not be tested. */
export const NOT_TESTABLE_REASONS = [
  'unsafe',
  'no-access',
  'no-straight-run',
  'no-place-for-the-water',
  'sealed-well',
  'pump-wont-run',
  'no-steady-duty',
  'owner-withdrew',
] as const

export const LeftOut = part('LeftOut', 'A reading that was deliberately not made, and why.', {
  reading: Type.Enum([...LEFT_OUT_READINGS], { description: 'Which reading was left out.' }),
  run: Type.Optional(
    Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run; absent if it holds for all runs.' }),
  ),
  reason: Type.Enum(['unsafe', 'no-access'], {
    description:
      '`unsafe`: it could not be read without danger; never counted against the test. `no-access`: there is no way to reach it.',
  }),
})

export const InstrumentsByUse = part(
  'InstrumentsByUse',
  'Code of the registered instrument used for each kind of reading.',
  {
    level: Type.Optional(Code('Instrument for water levels.')),
    pressure: Type.Optional(Code('Instrument for the discharge pressure.')),
    suctionPressure: Type.Optional(Code('Instrument for the suction pressure; the same code if it is the same gauge.')),
    flow: Type.Optional(Code('Instrument for flow: pitot tube with its manometer, or flow meter.')),
    power: Type.Optional(Code('Instrument for electrical input, where it is not the utility meter.')),
    speed: Type.Optional(Code('Tachometer.')),
    time: Type.Optional(Code('Stopwatch.')),
    temperature: Type.Optional(Code('Thermometer.')),
  },
)

export const PumpStoppedBefore = part(
  'PumpStoppedBefore',
  'How long the pump had stood still before the standing level was read.',
  {
    restTime: positiveReading('time', 'Time from the last stop of the pump to the standing level.'),
  },
)

export const RunCondition = part('RunCondition', 'The operating condition of a run, in codes.', {
  duty: Type.Enum(['usual', 'unusual'], { description: 'Whether the plant ran as it usually does.' }),
  valve: Type.Optional(Type.Enum(['fully-open', 'partly-closed'], { description: 'Position of the discharge valve.' })),
  outletsOpen: Type.Optional(
    Type.Array(Code('Code of an outlet, block or set.'), {
      maxItems: 50,
      description: 'Outlets, blocks or sets that were open.',
    }),
  ),
  otherPumps: Type.Optional(Type.Enum(['none', 'off', 'on'], { description: 'Other pumps on the same line.' })),
})

export const DischargePressure = part('DischargePressure', 'The gauge at the discharge tap.', {
  reading: reading('pressure', 'Gauge pressure at the discharge tap, 0 = atmosphere.'),
  gaugeHeightAboveDischargeCentre: Type.Optional(
    reading(
      'length',
      'Centre of the gauge above the centre of the discharge pipe; negative if below. The gauge line is full of water.',
    ),
  ),
  gaugeZero: Type.Optional(reading('pressure', 'What the gauge shows when vented; subtracted from the reading.')),
  beyondThrottledValve: Type.Optional(
    Type.Boolean({ description: 'True if the gauge stands downstream of a valve that is partly closed.' }),
  ),
  swing: Type.Optional(widthReading('pressure', 'PressureSwing', 'Width of the needle’s swing, highest less lowest.')),
  insideDiameterAtTap: Type.Optional(
    positiveReading(
      'length',
      'Inside diameter of the pipe at the pressure tap, where it differs from the traverse section.',
    ),
  ),
})

export const Run = part('Run', 'One operating condition of the plant, held steady while everything was read.', {
  condition: Type.Optional(RunCondition),
  pumpStartedAt: Type.Optional(Instant('When the pump was started.')),
  dutyChangedAt: Type.Optional(Instant('When speed, valve or outlets were last changed before this run.')),
  startedAt: Type.Optional(Instant('When the readings of this run began.')),
  endedAt: Type.Optional(Instant('When the readings of this run ended.')),
  pumpStoppedAt: Type.Optional(Instant('When the pump was stopped, if it was.')),
  waterTemperature: Type.Optional(reading('temperature', 'Temperature of the water in the discharge.')),
  barometricPressure: Type.Optional(positiveReading('pressure', 'Pressure of the air at the plant, absolute.')),
  pumpingLevel: Type.Optional(LevelReading),
  levelAfterStop: Type.Optional(LevelReading),
  suction: Type.Optional(Suction),
  dischargePressure: Type.Optional(DischargePressure),
  dischargeOpen: Type.Optional(Type.Boolean({ description: 'True if the discharge is open to the air at the tap.' })),
  flow: Type.Optional(FlowReadings),
  comparisonFlow: Type.Optional(FlowReadings),
  growersMeter: Type.Optional(GrowersMeter),
  seenInDischarge: Type.Optional(
    Type.Array(Type.Enum(['air', 'sand']), { maxItems: 2, description: 'What was seen in the water besides water.' }),
  ),
  flowLeavingBeforeMeter: Type.Optional(
    positiveReading('flow', 'Water that leaves between the discharge tap and the place where flow was measured.'),
  ),
  power: Type.Optional(PowerReadings),
  electrical: Type.Optional(Electrical),
  speeds: Type.Optional(
    Type.Array(positiveReading('speed', 'Speed of the pump shaft.'), {
      maxItems: 20,
      description: 'Speed of the pump, read once or several times in the run.',
    }),
  ),
})

export const Economics = part('Economics', 'What water and energy cost here, as the grower’s bills say.', {
  energyRate: Type.Optional(
    Type.Object(
      {
        value: Type.Number({ exclusiveMinimum: 0, description: 'Price of one unit of energy or fuel.' }),
        unit: Type.String({
          pattern: '^[A-Z]{3}/(kWh|gal|L|m3|1000 ft3)$',
          maxLength: 12,
          description:
            'ISO 4217 currency code per kWh of electricity, or per unit of the fuel: USD/kWh, USD/gal, USD/1000 ft3.',
        }),
      },
      { title: 'EnergyRate', description: 'Mean price of energy.', additionalProperties: false },
    ),
  ),
  annualVolume: Type.Optional(positiveReading('volume', 'Water pumped in a usual year.')),
  annualHours: Type.Optional(positiveReading('time', 'Hours the pump runs in a usual year.')),
  annualEnergy: Type.Optional(positiveReading('energy', 'Energy billed for twelve months.')),
  meterNumber: Type.Optional(Code('Number of the meter on the account billed.')),
})

export const Sheet = part('Sheet', 'Everything read on one visit to one pumping plant.', {
  plant: Code('Code of the plant, as registered and painted at the plant.'),
  kind: Type.Enum([...PLANT_KINDS], { description: 'Kind of plant.' }),
  purpose: Type.Optional(
    Type.Enum([...PURPOSES], {
      description:
        'What the visit was for; `full` if absent. `flow-and-power`: flow, power and energy per volume, no head. `not-testable`: the plant could not be tested.',
    }),
  ),
  notTestableBecause: Type.Optional(
    Type.Enum([...NOT_TESTABLE_REASONS], { description: 'Why it could not be tested; goes with `not-testable`.' }),
  ),
  testedOn: Day('Date of the visit in the plant’s time zone.'),
  tester: Code('Code of the tester within the firm; a code, never a name.'),
  instruments: Type.Optional(InstrumentsByUse),
  dischargeCentreAboveDatum: Type.Optional(
    reading('length', 'Centre of the discharge pipe at the tap above the level datum; negative if below.'),
  ),
  pumpStoppedBefore: Type.Optional(PumpStoppedBefore),
  standingLevel: Type.Optional(LevelReading),
  runs: Type.Array(Run, {
    maxItems: 20,
    description: 'Operating conditions tested, in order; none only where the plant was not testable.',
  }),
  normalRun: Type.Optional(
    Type.Integer({
      minimum: 0,
      maximum: 19,
      description: 'Index of the run that stands for the plant’s normal condition; the first if absent.',
    }),
  ),
  leftOut: Type.Optional(Type.Array(LeftOut, { maxItems: 20, description: 'Readings deliberately not made.' })),
  economics: Type.Optional(Economics),
})

export type LeftOut = Static<typeof LeftOut>
export type PlantKind = (typeof PLANT_KINDS)[number]
export type Run = Static<typeof Run>
export type Sheet = Static<typeof Sheet>
