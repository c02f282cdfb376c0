/** Thresholds of edition 2026-1 for engines, registers and the pump itself. A value at its limit passes. */
import { limit } from './limit.ts'
import { judged } from './sources.ts'

export const limitsOfDrivers = {
  maxHeatingDifference: limit(
    'Largest difference from the usual heating value',
    12,
    '%',
    'ratio',
    judged('natural gas of different fields spans about 10 percent; lower and higher value differ by 10'),
  ),
  minFuelTime: limit(
    'Shortest time over which fuel is measured',
    15,
    'min',
    'time',
    judged('at 6 gal/h that is 1.5 gal, read to 0.02 gal'),
  ),
  maxEngineEfficiency: limit(
    'Efficiency that no engine exceeds',
    45,
    '%',
    'ratio',
    judged('large diesel engines reach 0.42 to 0.45 on the lower heating value, less on the higher'),
  ),
  maxPumpOnEngine: limit(
    'Efficiency that pump and gear together do not exceed',
    82,
    '%',
    'ratio',
    judged('bowls of 0.86 behind a gear of 0.95'),
  ),
  maxRegisterResolution: limit(
    'Largest part of a registered energy that the last digit may make',
    1,
    '%',
    'ratio',
    judged('as for the totaliser of a flow meter'),
  ),
  maxPumpEfficiency: limit(
    'Efficiency that no irrigation pump exceeds',
    90,
    '%',
    'ratio',
    judged('best bowls of this size reach 0.84 to 0.88 on the test bed'),
  ),
}
