/**
 * What a rule set may change of findings, as the catalogue of findings states it. What is not named here is fixed by
 * the method edition: physical limits, limits that others rely on, and those of comparing a test with the record.
 */
import { type MethodEdition, toSi, UnitError } from '@liftledger/calc'
import type { Bound } from './schema-parts.ts'

/** Limits that a program may set as it likes, by finding. */
const FREE: Readonly<Record<string, string>> = {
  'traverse-points-too-few': 'minPointsPerDiameter',
  'instrument-calibration-expired': 'grace',
  'position-far-from-plant': 'maxDistance',
  'pump-run-time-short': 'minSettle minSettleHard',
  'pump-run-time-far-too-short': 'minSettle minSettleHard',
  'standing-level-before-recovery': 'minRest',
  'readings-of-a-run-far-apart': 'maxRunSpan',
  'traverse-implausibly-fast': 'minPerPoint',
  'travel-between-plants-impossible': 'maxSpeed minDistance',
  'runs-at-different-speed-mixed': 'maxSpeedSpread',
  'submergence-small': 'minSubmergence',
  'pumping-level-still-moving': 'maxChange maxChangeShare',
  'pumping-level-falling-fast': 'maxChangeHard maxChangeHardShare',
  'level-series-too-short': 'minLevelReadings',
  'level-repeats-disagree': 'maxRepeatSpread',
  'air-line-pressure-not-settled': 'maxAirLineSpread',
  'gauge-low-on-scale': 'minScaleShare',
  'gauge-not-at-zero': 'maxZeroShare',
  'pressure-unsteady': 'maxSwing',
  'suction-lift-large': 'maxSuctionLift',
  'suction-gauge-disagrees-with-surface': 'maxSuctionMismatch maxSuctionLoss',
  'gauge-height-implausible': 'maxGaugeHeight',
  'suction-margin-short': 'minMargin',
  'straight-run-short-upstream': 'minUpstream minUpstreamHard',
  'straight-run-very-short-upstream': 'minUpstreamHard',
  'straight-run-short-downstream': 'minDownstream',
  'velocity-profile-lopsided': 'maxAsymmetry maxAsymmetryHard',
  'velocity-profile-very-lopsided': 'maxAsymmetryHard',
  'mean-to-centre-ratio-unusual': 'minRatio maxRatio',
  'velocity-profile-jumps': 'maxResidual',
  'pitot-velocity-too-low': 'minVelocity',
  'manometer-readings-small': 'minSteps minVelocity',
  'pipe-velocity-high': 'highVelocity',
  'manometer-zero-drift': 'maxDriftShare',
  'traverses-of-two-diameters-disagree': 'maxDiameterSpread',
  'pipe-out-of-round': 'maxOutOfRound',
  'diameter-differs-from-record': 'maxDiameterDifference',
  'traverse-position-off': 'maxPositionShare maxPosition',
  'flow-methods-disagree': 'maxFlowDifference',
  'ultrasonic-signal-weak': 'minSignal',
  'ultrasonic-pipe-setting-differs': 'maxSettingDifference',
  'ultrasonic-readings-unsteady': 'maxRateSpread',
  'totaliser-volume-too-small': 'maxResolution',
  'weir-head-large-for-crest-length': 'minWeirHead',
  'weir-crest-too-low': 'maxHeadToCrest',
  'weir-head-read-too-near': 'minHeadDistance',
  'weir-air-space-small': 'minAirSpace',
  'orifice-ratio-out-of-range': 'minOrificeRatio maxOrificeRatio',
  'orifice-head-too-small': 'minHeadToPipe',
  'orifice-tap-too-near': 'minTapDistance',
  'coarse-flow-method': 'maxFlowUncertainty',
  'tank-filled-too-fast': 'minFillTime',
  'flow-beyond-pump-record': 'maxFlowRatio',
  'meter-timings-too-few': 'minTimings',
  'meter-timing-too-short': 'minTiming',
  'meter-revolutions-too-few': 'minRevolutions',
  'meter-timing-spread-wide': 'maxSpread maxSpreadHard',
  'meter-timing-spread-very-wide': 'maxSpreadHard',
  'meter-timing-off-by-one': 'maxSpread',
  'motor-load-above-service-factor': 'loadMargin impossibleLoad',
  'motor-load-impossible': 'impossibleLoad',
  'motor-lightly-loaded': 'minLoad',
  'current-unbalance-high': 'maxCurrentUnbalance',
  'voltage-unbalance-high': 'maxVoltageUnbalance maxVoltageUnbalanceHard',
  'voltage-far-from-nameplate': 'maxVoltageDeviation',
  'power-factor-unusual': 'minPowerFactor maxPowerFactor',
  'meter-and-panel-disagree': 'maxPowerDifference',
  'register-interval-too-coarse': 'maxRegisterResolution',
  'fuel-timed-too-short': 'minFuelTime',
  'heating-value-implausible': 'maxHeatingDifference',
  'efficiency-unusually-low': 'minEfficiencyElectric minEfficiencyEngine',
  'efficiency-below-half-of-average': 'lowEfficiency',
  'velocity-head-share-large': 'maxVelocityHeadShare',
  'head-off-the-curve': 'maxAboveCurve',
  'flow-far-below-curve': 'maxBelowCurve',
  'runs-not-on-one-curve': 'curveTolerance',
  'runs-break-the-affinity-laws': 'maxAffinityResidual',
  'firm-figure-differs': 'maxFirmDifference',
  'energy-rate-implausible': 'minRate maxRate',
  'annual-energy-inconsistent': 'maxEnergyDifference',
  'before-and-after-not-comparable': 'maxHeadChange',
  'repeats-all-equal': 'maxStepShare',
  'readings-too-round': 'maxRoundShare',
  'firm-prefers-digits': 'minDigits',
  'firm-differs-from-peers': 'maxFunnelZ',
  'evidence-time-mismatch': 'maxEvidenceGap',
  'evidence-place-mismatch': 'maxEvidenceDistance',
  'device-clock-skewed': 'maxSkew',
  'efficiency-too-uncertain': 'maxExpanded',
  'one-reading-dominates': 'maxShare',
  'saving-too-uncertain': 'maxSavingUncertainty',
  'few-degrees-of-freedom': 'minDof',
}

/** Limits that a program may only make stricter. */
const ONLY_TIGHTER: Readonly<Record<string, string>> = {
  'efficiency-above-attainable': 'maxEfficiency',
  'bowl-efficiency-above-limit': 'maxBowlEfficiency',
}

export type MayChange = 'yes' | 'only-tighter' | 'no'

const names = (list: string | undefined): readonly string[] => list?.split(' ') ?? []

export function mayChange(finding: string, limit: string): MayChange {
  if (names(FREE[finding]).includes(limit)) return 'yes'
  return names(ONLY_TIGHTER[finding]).includes(limit) ? 'only-tighter' : 'no'
}

/** A greatest value is tighter if smaller, a least value if greater; their names say which they are. */
export const isTighter = (limit: string, wanted: number, current: number): boolean =>
  limit.startsWith('min') ? wanted >= current : wanted <= current

type Limit = MethodEdition['limits'][keyof MethodEdition['limits']]

/** A program's limit in SI; a text says why it is none. Straight pipe is counted in diameters, which have no unit. */
export function boundValueOfLimit(bound: Bound, limit: Limit): number | string {
  if (typeof bound === 'number') {
    return limit.dimension === 'ratio' ? bound : `a limit of ${limit.dimension} needs its unit`
  }
  if (bound.unit === 'diameters' && limit.dimension === 'ratio') return bound.value
  try {
    return toSi(bound, limit.dimension)
  } catch (error) {
    if (error instanceof UnitError) return error.message
    throw error
  }
}
