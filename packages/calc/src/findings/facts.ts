/**
 * What findings look at: named facts of one run, in SI, collected once for each run.
 * A fact is absent when its reading was not made; a finding that needs it then does not run.
 */

/** Name → unit (`-` for text, flags and counts) and meaning. */
export const factMeanings = {
  purpose: ['-', 'full, flow-and-power or not-testable'],
  notTestableBecause: ['-', 'reason code, where the plant was not testable'],
  plantKind: ['-', 'well or booster, as the sheet says'],
  recordPlantKind: ['-', 'well or booster, as the record says'],
  electric: ['-', 'true if an electric motor drives the pump'],
  runDescribed: ['-', 'true if the operating condition was described'],
  waterTemperature: ['degC', 'water temperature as read'],
  standingLevel: ['m', 'standing water level below the datum'],
  pumpingLevel: ['m', 'pumping water level below the datum'],
  pumpingLevelU: ['m', 'its standard uncertainty'],
  drawdown: ['m', 'pumping less standing water level'],
  drawdownU: ['m', 'its standard uncertainty'],
  dischargeCentreHeight: ['m', 'discharge centre above the level datum'],
  lift: ['m', 'pumping water level below the discharge centre'],
  readingOffSeries: ['m', 'distance of the pumping level from the last of its series'],
  readingOffRepeats: ['m', 'distance of the standing level from the nearest of its repeats'],
  standingRepeatSpread: ['m', 'largest less smallest repeat of the standing level'],
  levelReadingCount: ['-', 'readings of the pumping level'],
  levelWindow: ['s', 'time before the last level of the series over which its change is judged'],
  levelChange: ['m', 'last level of the series less the earliest that is within the edition’s window before it'],
  standingMark: ['-', 'measuring point of the standing level'],
  pumpingMark: ['-', 'measuring point of the pumping level'],
  markOffsetKnown: ['-', 'true if the height of each measuring point was given'],
  acousticLevel: ['-', 'true if a level was read by sound'],
  oilOnWater: ['-', 'true if oil floats on the water'],
  oilThicknessRead: ['-', 'true if its thickness was given wherever there is oil'],
  cascadingWater: ['-', 'true if water falls down the casing'],
  airLineLength: ['m', 'length of the air line'],
  airLineLengthChecked: ['-', 'true if that length was worked out from a sounded level'],
  airLineColumn: ['m', 'column of water over the end of the air line while pumping'],
  airLineHighestColumn: ['m', 'highest column that the air line showed'],
  airLineSpread: ['m', 'largest less smallest column of the repeats'],
  beyondThrottledValve: ['-', 'true if the gauge stands downstream of a valve that is partly closed'],
  npshAvailable: ['m', 'net positive suction head available'],
  npshAvailableU: ['m', 'its standard uncertainty'],
  npshRequired: ['m', 'net positive suction head that the pump asks for'],
  restTime: ['s', 'time from the last stop of the pump to the standing level'],
  settleTime: ['s', 'time from the start of the pump to the pumping level'],
  standingLevelAt: ['s', 'when the standing level was read'],
  standingByRecovery: ['-', 'true if the standing level was read after the last stop of the pump on this visit'],
  pumpStartedAt: ['s', 'when the pump was started'],
  pumpStoppedAt: ['s', 'when the pump was stopped'],
  runStartedAt: ['s', 'when the readings of the run began'],
  runEndedAt: ['s', 'when the readings of the run ended'],
  firstReadAt: ['s', 'earliest reading of the run, level series apart'],
  lastReadAt: ['s', 'latest reading of the run'],
  firstTimingAt: ['s', 'earliest timing of the meter'],
  lastTimingAt: ['s', 'latest timing of the meter'],
  bowlDepth: ['m', 'depth of the bowls on record'],
  wellDepth: ['m', 'depth of the well on record'],
  dischargePressure: ['Pa', 'gauge pressure at the discharge tap'],
  dischargePressureHeadU: ['m', 'standard uncertainty of its head'],
  dischargeOpen: ['-', 'true if the discharge is open to the air'],
  gaugeHeight: ['m', 'gauge centre above the discharge centre'],
  gaugeFullScale: ['Pa', 'end of the gauge’s scale'],
  gaugeZero: ['Pa', 'what the gauge shows when vented'],
  pressureSwing: ['Pa', 'width of the swing'],
  sourceSurfaceHeight: ['m', 'open water surface above the discharge centre'],
  suctionPressure: ['Pa', 'gauge pressure at the suction tap'],
  suctionGaugeRead: ['-', 'true if the suction gauge enters the head'],
  suctionGaugeHeight: ['m', 'suction gauge centre above the discharge centre'],
  suctionHead: ['m', 'suction head above the discharge centre'],
  suctionHeadFromGauge: ['m', 'the same by a vacuum gauge beside an open surface'],
  tapDiameterMissing: ['-', 'true if a velocity head is not known for want of a diameter'],
  flowRead: ['-', 'true if any flow reading was made'],
  powerRead: ['-', 'true if any power reading was made'],
  flow: ['m3/s', 'flow'],
  flowU: ['m3/s', 'its standard uncertainty'],
  vNotchWeir: ['-', 'true if flow was measured by a V-notch'],
  notchAngle: ['rad', 'angle of the notch'],
  weirHead: ['m', 'head over a weir'],
  weirCrestLength: ['m', 'length of the crest of a rectangular or Cipolletti weir'],
  weirCrestHeight: ['m', 'crest or vertex above the floor upstream'],
  weirHeadDistance: ['m', 'distance of the gauge from the plate'],
  tailwaterBelowCrest: ['m', 'water downstream below the crest'],
  flumeThroat: ['m', 'throat of the flume'],
  flumeSizeKnown: ['-', 'true if the table has a flume of that throat'],
  flumeHead: ['m', 'head at the upstream gauge of the flume'],
  flumeHeadMin: ['m', 'least head of its size'],
  flumeHeadMax: ['m', 'largest head of its size'],
  flumeFreeUpTo: ['1', 'ratio of heads up to which flow is free, by its size'],
  flumeDownstreamRead: ['-', 'true if the downstream head was read, or free flow was seen'],
  flumeSubmergence: ['1', 'downstream head over upstream head'],
  orificeDiameter: ['m', 'diameter of the orifice'],
  orificeHead: ['m', 'water in the tube above the centre of the pipe'],
  orificeTapDistance: ['m', 'distance of the tube from the plate'],
  jetHeight: ['m', 'height of a vertical jet'],
  jetHeightRatio: ['1', 'height of a vertical jet in diameters of its pipe'],
  shortestFilling: ['s', 'shortest time in which the tank filled'],
  recordFlowMax: ['m3/s', 'highest flow on record'],
  pitotTraverse: ['-', 'true if flow was measured with a pitot tube'],
  areaNeeded: ['-', 'true if flow is velocity times area'],
  insertionMeter: ['-', 'true if flow was read as the velocity of an insertion meter'],
  singlePointFactor: ['1', 'ratio of mean velocity to that of the one point read'],
  profileFactorGiven: ['-', 'true if its profile factor was given'],
  rateCount: ['-', 'rates or velocities read'],
  rateSpread: ['1', 'largest less smallest of them, relative'],
  signalShare: ['1', 'signal of a clamp-on meter as a share of its full figure'],
  sensorSpacingAsked: ['m', 'distance of the sensors that a clamp-on meter asked for'],
  sensorSpacingSet: ['m', 'distance of the sensors as measured on the pipe'],
  liningNotMeasured: ['-', 'true if the pipe has a lining whose thickness was not given'],
  zeroFlowShare: ['1', 'what a clamp-on meter shows without flow, as a share of what it shows in the run'],
  deviceDiameter: ['m', 'inside diameter set in a clamp-on meter'],
  totaliser: ['-', 'true if flow was timed on a totaliser'],
  totaliserStart: ['m3', 'register at the start, without multiplier'],
  totaliserEnd: ['m3', 'register at the end, without multiplier'],
  totaliserRollover: ['-', 'true if the register started anew between the readings'],
  totaliserMultiplier: ['1', 'multiplier of the register as stated'],
  totaliserStep: ['m3', 'smallest step of the register, multiplier included'],
  totaliserVolume: ['m3', 'volume timed'],
  probeBlockage: ['1', 'share of the area that the stem of a probe takes'],
  airSeen: ['-', 'true if air was seen in the discharge'],
  sandSeen: ['-', 'true if sand was seen in the discharge'],
  comparisonDifference: ['1', 'flow by the second method less the tested flow, relative'],
  comparisonDifferenceU: ['1', 'its standard uncertainty'],
  profileResidual: ['1', 'largest distance of a point from a smooth profile, relative to the mean'],
  pointOffProfile: ['-', 'number of that point along its diameter'],
  diameterOffProfile: ['-', 'number of its diameter'],
  pipeRunsFull: ['-', 'false if the pipe was not full at the section'],
  countNotOfRule: ['-', 'true if a diameter has a number of points that the rule does not have'],
  pipeDiameter: ['m', 'inside diameter used'],
  recordPipeDiameter: ['m', 'inside diameter on record'],
  diameterSpread: ['1', 'largest less smallest inside diameter, relative to the mean'],
  diameterFromTable: ['-', 'true if the inside diameter was taken from a pipe table'],
  meanVelocity: ['m/s', 'mean velocity over the pipe'],
  centreVelocity: ['m/s', 'velocity in the middle of the pipe'],
  largestWallVelocity: ['m/s', 'largest velocity next to the wall'],
  fewestPoints: ['-', 'points on the diameter that has fewest'],
  oddPointCount: ['-', 'true if a diameter has an odd number of points'],
  pointCount: ['-', 'points in all'],
  diameterCount: ['-', 'diameters traversed'],
  smallestColumn: ['m', 'smallest manometer reading, signed'],
  medianColumn: ['m', 'median of the manometer readings'],
  manometerStep: ['m', 'smallest step of the manometer'],
  manometerZeroDrift: ['m', 'zero after less zero before'],
  profileAsymmetry: ['1', 'largest difference of the halves of a diameter, relative to the mean'],
  velocitySpreadOfDiameters: ['1', 'largest less smallest mean of the diameters, relative'],
  largestPositionError: ['m', 'largest difference of a stated position from the method’s'],
  traverseDuration: ['s', 'from first to last point'],
  straightUpstream: ['1', 'straight run upstream in diameters'],
  straightDownstream: ['1', 'straight run downstream in diameters'],
  utilityMeter: ['-', 'true if power was read on the meter'],
  timedMeter: ['-', 'true if the meter’s disk or pulses were timed'],
  diskMeter: ['-', 'true if power was read by timing a meter’s disk'],
  meterSerial: ['-', 'serial number of the meter'],
  recordMeterSerial: ['-', 'serial number on record'],
  meterConstant: ['J', 'energy of one revolution or pulse'],
  meterMultiplier: ['1', 'multiplier as stated'],
  recordMeterConstant: ['J', 'constant on record, of the same kind'],
  recordMeterMultiplier: ['1', 'multiplier on record'],
  timingCount: ['-', 'timings of the meter'],
  shortestTiming: ['s', 'shortest timing'],
  fewestRevolutions: ['-', 'fewest revolutions of a timing'],
  timingSpread: ['1', 'largest less smallest power of the timings, relative'],
  spreadIfOneCountWereOff: ['1', 'the smallest spread if one count were one more or one less'],
  otherLoads: ['-', 'none, off, measured or on-not-measured'],
  generationBehindMeter: ['-', 'true if a generator or panels feed the same meter'],
  voltsAmps: ['-', 'true if input power rests on volts and amperes'],
  linesOfSupply: ['-', 'lines of the supply'],
  fewestLinesRead: ['-', 'lines whose voltage and current were read'],
  meanVoltage: ['V', 'mean voltage at the supply'],
  ratedVoltage: ['V', 'nameplate voltage'],
  voltageUnbalance: ['1', 'unbalance of the voltages'],
  currentUnbalance: ['1', 'unbalance of the currents'],
  powerFactor: ['1', 'power factor as read'],
  panelPower: ['W', 'power by volts and amperes, beside the meter'],
  panelPowerU: ['W', 'its standard uncertainty'],
  driveOutputMeasured: ['-', 'true if power was read between drive and motor'],
  driveEfficiency: ['1', 'efficiency of the drive used'],
  hasDrive: ['-', 'true if a variable-frequency drive is on record'],
  directDrive: ['-', 'true if motor and pump turn at one speed'],
  speed: ['rev/s', 'mean speed of the pump'],
  speedSpread: ['1', 'largest less smallest speed or frequency of the run, relative'],
  synchronousSpeed: ['rev/s', 'speed of the motor without slip'],
  inputPowerU: ['W', 'standard uncertainty of input power'],
  inputPower: ['W', 'input power'],
  ratedPower: ['W', 'nameplate output of the driver'],
  motorLoad: ['1', 'power the motor gives as a share of its rated power'],
  motorShaftPower: ['W', 'load of the motor times its rated power'],
  serviceFactor: ['1', 'nameplate service factor'],
  registerStep: ['J', 'smallest step of the energy register, multiplier included'],
  registerEnergy: ['J', 'energy timed on the register'],
  steadyOverInterval: ['-', 'true if the pump ran as tested over the whole demand interval'],
  fuel: ['-', 'fuel of the engine'],
  fuelDuration: ['s', 'time over which fuel was measured'],
  gasAtBase: ['-', 'true if the gas volume is, or can be brought, at base conditions'],
  heatingValue: ['J/m3', 'heating value used'],
  usualHeatingValue: ['J/m3', 'heating value of the edition'],
  heatingValueAssumed: ['-', 'true if it was not given'],
  waterPower: ['W', 'water power'],
  pumpEfficiency: ['1', 'efficiency of the pump itself'],
  pumpEfficiencyU: ['1', 'its standard uncertainty'],
  overallPlantEfficiency: ['1', 'overall plant efficiency'],
  overallPlantEfficiencyU: ['1', 'its standard uncertainty'],
  efficiencyDegreesOfFreedom: ['-', 'effective degrees of freedom of overall plant efficiency'],
  fieldHead: ['m', 'head without velocity head'],
  totalDynamicHead: ['m', 'total dynamic head'],
  velocityHead: ['m', 'velocity head'],
  energyPerVolume: ['J/m3', 'energy per volume'],
  leastEnergyPerVolume: ['J/m3', 'density · g · total dynamic head'],
  handCheckDifference: ['1', 'hand check over exact figure less one, magnitude'],
  largestShare: ['1', 'largest share of variance of overall plant efficiency by one reading'],
  energyRateGiven: ['-', 'true if a price of energy was given'],
  usdPerKwh: ['-', 'price of a kilowatt-hour, where it is in USD'],
  annualVolume: ['m3', 'water pumped in a usual year'],
  annualEnergy: ['J', 'energy billed for twelve months'],
  annualHours: ['s', 'time the pump runs in a usual year'],
  curveConflict: ['-', 'two runs that are not on one falling curve'],
  drawdownConflict: ['-', 'two runs whose drawdown does not follow flow'],
  affinityRun: ['-', 'number of the run that is farthest from the curve through the others, all brought to one speed'],
  affinityResidual: ['1', 'how far its head is from that curve, relative'],
  affinitySpeedRatio: ['1', 'its speed relative to that of the fastest run'],
  unitDoubt: ['-', 'a reading that would be usual in another unit'],
  finerReading: ['-', 'a reading finer than its instrument shows'],
  outsideRange: ['-', 'a reading outside the range of its instrument'],
  uncertainQuantity: ['-', 'a result left out for its uncertainty'],
  uncertainShare: ['1', 'its 95 % interval, relative'],
  suctionInstrument: ['-', 'instrument of the suction pressure'],
  clampInstrument: ['-', 'instrument of volts and amperes'],
  levelInstrument: ['-', 'instrument of the level readings'],
  pressureInstrument: ['-', 'instrument of the discharge pressure'],
  flowInstrument: ['-', 'instrument of the flow readings'],
  testedOn: ['-', 'date of the test'],
  readOnOtherDay: ['-', 'local date of a reading that is not the date of the test'],
  testedOnDay: ['-', 'day number of the test'],
  earliestCalibrationEnd: ['-', 'day number of the first certificate to run out among the instruments used'],
  lapsedInstrument: ['-', 'code of an instrument whose certificate had run out'],
  qualifiedOnDay: ['-', 'true if the tester held a qualification on the day of the test'],
  equalRepeats: ['-', 'most repeats of one group of timings, rates or powers that are all equal'],
  equalRepeatsStep: ['1', 'smallest step they show, relative'],
  equalRepeatsText: ['-', 'what they are all equal to'],
  digitCount: ['-', 'readings that scatter and whose step is a power of ten'],
  roundShare: ['1', 'share of them that end in 0 or 5'],
  readTimeCount: ['-', 'distinct moments of the readings of the run, level series apart'],
  readTimePattern: ['-', 'pattern that all of them follow; empty for none'],
  qualifiedUntil: ['-', 'last day of the latest qualification'],
} as const satisfies Record<string, readonly [unit: string, meaning: string]>

type Flags =
  | 'electric'
  | 'standingByRecovery'
  | 'runDescribed'
  | 'markOffsetKnown'
  | 'dischargeOpen'
  | 'flowRead'
  | 'powerRead'
  | 'pitotTraverse'
  | 'areaNeeded'
  | 'vNotchWeir'
  | 'flumeSizeKnown'
  | 'flumeDownstreamRead'
  | 'insertionMeter'
  | 'profileFactorGiven'
  | 'liningNotMeasured'
  | 'airSeen'
  | 'sandSeen'
  | 'totaliser'
  | 'totaliserRollover'
  | 'pipeRunsFull'
  | 'countNotOfRule'
  | 'utilityMeter'
  | 'timedMeter'
  | 'voltsAmps'
  | 'driveOutputMeasured'
  | 'hasDrive'
  | 'directDrive'
  | 'suctionGaugeRead'
  | 'tapDiameterMissing'
  | 'energyRateGiven'
  | 'diameterFromTable'
  | 'oddPointCount'
  | 'diskMeter'
  | 'generationBehindMeter'
  | 'qualifiedOnDay'
  | 'steadyOverInterval'
  | 'acousticLevel'
  | 'oilOnWater'
  | 'oilThicknessRead'
  | 'cascadingWater'
  | 'airLineLengthChecked'
  | 'beyondThrottledValve'
  | 'gasAtBase'
  | 'heatingValueAssumed'
type Texts =
  | 'purpose'
  | 'fuel'
  | 'notTestableBecause'
  | 'meterSerial'
  | 'recordMeterSerial'
  | 'suctionInstrument'
  | 'clampInstrument'
  | 'curveConflict'
  | 'drawdownConflict'
  | 'unitDoubt'
  | 'finerReading'
  | 'outsideRange'
  | 'uncertainQuantity'
  | 'plantKind'
  | 'recordPlantKind'
  | 'standingMark'
  | 'pumpingMark'
  | 'otherLoads'
  | 'levelInstrument'
  | 'pressureInstrument'
  | 'flowInstrument'
  | 'lapsedInstrument'
  | 'testedOn'
  | 'readOnOtherDay'
  | 'equalRepeatsText'
  | 'readTimePattern'
  | 'qualifiedUntil'

export type FactName = keyof typeof factMeanings
/** Type of each fact: flag, text or number. */
export type FactType<N extends FactName> = N extends Flags ? boolean : N extends Texts ? string : number
/** Facts of one run; absent means not read. */
export type Facts = { -readonly [N in FactName]?: FactType<N> | undefined }

const FACT_NAMES = Object.keys(factMeanings) as FactName[]

const ABSENT: Facts = Object.fromEntries(FACT_NAMES.map((name) => [name, undefined]))

/** Facts with none known. All names are there from the start, so that filling them in is cheap. */
export const noFacts = (): Facts => ({ ...ABSENT })
