/** Method edition 2026-1, the first. */
import { defaults } from './2026-1/defaults.ts'
import { defaultsOfDrivers } from './2026-1/defaults-of-drivers.ts'
import { defaultsOfLevels } from './2026-1/defaults-of-levels.ts'
import { defaultsOfOpenFlow } from './2026-1/defaults-of-open-flow.ts'
import { findings } from './2026-1/findings.ts'
import { fuels } from './2026-1/fuels.ts'
import { limitsOfDrivers } from './2026-1/limits-of-drivers.ts'
import { limitsOfLevels } from './2026-1/limits-of-levels.ts'
import { limitsOfOpenFlow } from './2026-1/limits-of-open-flow.ts'
import { limitsOfPower } from './2026-1/limits-of-power.ts'
import { limitsOfRecord } from './2026-1/limits-of-record.ts'
import { limitsOfWater } from './2026-1/limits-of-water.ts'
import { recordFindings } from './2026-1/record-findings.ts'
import { spans } from './2026-1/spans.ts'
import { defineEdition } from './edition.ts'

export const edition20261 = defineEdition({
  id: '2026-1',
  inForceFrom: '2026-01-01',
  settings: {
    velocityHead: 'include',
    densityDefaultTemperatureC: 15,
    assumedScalePerReading: 2,
    leastAssumedScalePa: 200e3,
    driveEfficiencyNotStated: 0.97,
    pipeFactorNotGiven: 0.82,
    serviceFactorNotStated: 1.15,
    transmissionEfficiencyNotStated: { belt: 0.925, gear: 0.95 },
    lossesOfOldMotor: 1.25,
    // 0.55 hp for 100 ft of a shaft of 1 in at 1,760 rpm (Hydraulic Institute, as reprinted).
    lineShaftFriction: 711,
    barometricPressureNotReadPa: 98_000,
    oilDensityNotRead: 0.88,
    columnRoughnessNotStatedM: 0.0005,
    levelWindowS: 600,
    leastShareOfAdvice: 0.0005,
    expected: {
      full: ['flow', 'input-power', 'total-dynamic-head', 'overall-plant-efficiency', 'energy-per-volume'],
      'flow-and-power': ['flow', 'input-power', 'energy-per-volume'],
      'not-testable': [],
    },
  },
  defaults: { ...defaults, ...defaultsOfOpenFlow, ...defaultsOfDrivers, ...defaultsOfLevels },
  limits: {
    ...limitsOfWater,
    ...limitsOfPower,
    ...limitsOfOpenFlow,
    ...limitsOfDrivers,
    ...limitsOfLevels,
    ...limitsOfRecord,
  },
  fuels,
  spans,
  // Integration error of a traverse by rule and points per radius; the index is the number of points.
  // It contains the bias of the point mean on a usual profile (ISO 3966:2008, uncertainty clause; from memory).
  // The logarithmic rules have three to five points; another count is a finding, and its flow is not reported.
  traverseIntegration: {
    'equal-area': [0.02, 0.02, 0.014, 0.01, 0.007, 0.005, 0.005, 0.005, 0.005, 0.005, 0.005],
    'log-linear': [0.02, 0.02, 0.014, 0.003, 0.002, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001],
    'log-tchebycheff': [0.02, 0.02, 0.014, 0.003, 0.002, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001],
  },

  findings,
  recordFindings,
})
