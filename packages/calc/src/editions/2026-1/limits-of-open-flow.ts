/** Thresholds of edition 2026-1 for flow measured in the open. A value at its limit passes. */
import { limit } from './limit.ts'
import { judged, lookedUp, practice, remembered } from './sources.ts'

const WATER_MEASUREMENT = 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001'

export const limitsOfOpenFlow = {
  minVHead: limit('Least head over a V-notch', 0.2, 'ft', 'length', lookedUp(WATER_MEASUREMENT, 'ch. 7 section 7')),
  maxVHead: limit('Largest head over a V-notch', 1.25, 'ft', 'length', lookedUp(WATER_MEASUREMENT, 'ch. 7 section 7')),
  minNotchAngle: limit(
    'Smallest angle of a V-notch',
    25,
    'deg',
    'angle',
    lookedUp(WATER_MEASUREMENT, 'ch. 7 section 7'),
  ),
  maxNotchAngle: limit(
    'Largest angle of a V-notch',
    100,
    'deg',
    'angle',
    lookedUp(WATER_MEASUREMENT, 'ch. 7 section 7'),
  ),
  minWeirHead: limit(
    'Least head over a long crest',
    0.2,
    'ft',
    'length',
    lookedUp(WATER_MEASUREMENT, 'ch. 7 section 12 (Cipolletti; taken for rectangular weirs as well)'),
  ),
  maxHeadToLength: limit(
    'Largest head over a long crest, of its length',
    1 / 3,
    '1',
    'ratio',
    lookedUp(WATER_MEASUREMENT, 'ch. 7 section 12 (Cipolletti; taken for rectangular weirs as well)'),
  ),
  maxHeadToCrest: limit(
    'Largest head of the height of the crest',
    0.4,
    '1',
    'ratio',
    remembered('ISO 1438:2017', 'limits of fully contracted triangular notches'),
  ),
  minHeadDistance: limit(
    'Least distance of the gauge from the plate, in heads',
    4,
    '1',
    'ratio',
    remembered(WATER_MEASUREMENT, 'ch. 7, at least four times the head upstream'),
  ),
  minAirSpace: limit('Least fall below the crest', 0.2, 'ft', 'length', lookedUp(WATER_MEASUREMENT, 'ch. 7 section 7')),
  minOrificeRatio: limit(
    'Smallest orifice of the pipe',
    0.4,
    '1',
    'ratio',
    practice('plates of 0.4 to 0.83 of the pipe'),
  ),
  maxOrificeRatio: limit(
    'Largest orifice of the pipe',
    0.83,
    '1',
    'ratio',
    practice('plates of 0.4 to 0.83 of the pipe'),
  ),
  minHeadToPipe: limit(
    'Least water in the tube, in diameters of the pipe',
    1,
    '1',
    'ratio',
    judged('at half a diameter the crown of the pipe is just under pressure'),
  ),
  minTapDistance: limit('Least distance of the tube from the plate', 24, 'in', 'length', practice('24 in upstream')),
  overflowHeight: limit(
    'Highest water over the rim of a vertical pipe, in diameters',
    0.37,
    '1',
    'ratio',
    lookedUp(WATER_MEASUREMENT, 'ch. 14 section 13'),
  ),
  jetHeight: limit(
    'Lowest jet of a vertical pipe, in diameters',
    1.4,
    '1',
    'ratio',
    lookedUp(WATER_MEASUREMENT, 'ch. 14 section 13'),
  ),
  maxFlowUncertainty: limit(
    'Largest standard uncertainty of flow for small changes to be judged',
    4,
    '%',
    'ratio',
    judged('twice 4 percent already covers half of usual repair gains'),
  ),
  minFillTime: limit('Least time of filling', 30, 's', 'time', judged('0.3 s in 30 s is one percent')),
}
