/** Every finding, in the order in which a reader of the catalogue meets them. */

import { dischargeCentreHeightMissing } from './completeness/discharge-centre-height-missing.ts'
import { dischargePressureMissing } from './completeness/discharge-pressure-missing.ts'
import { energyRateMissing } from './completeness/energy-rate-missing.ts'
import { flowFromSinglePoint } from './completeness/flow-from-single-point.ts'
import { flowReadingMissing } from './completeness/flow-reading-missing.ts'
import { gaugeHeightMissing } from './completeness/gauge-height-missing.ts'
import { heatingValueAssumed } from './completeness/heating-value-assumed.ts'
import { inputPowerReadingMissing } from './completeness/input-power-reading-missing.ts'
import { instrumentNotNamed } from './completeness/instrument-not-named.ts'
import { linesNotAllRead } from './completeness/lines-not-all-read.ts'
import { meterConstantMissing } from './completeness/meter-constant-missing.ts'
import { meterMultiplierNotStated } from './completeness/meter-multiplier-not-stated.ts'
import { nameplateMissing } from './completeness/nameplate-missing.ts'
import { pipeDiameterFromTable } from './completeness/pipe-diameter-from-table.ts'
import { pipeDiameterMissing } from './completeness/pipe-diameter-missing.ts'
import { plantNotTestable } from './completeness/plant-not-testable.ts'
import { powerFactorMissing } from './completeness/power-factor-missing.ts'
import { profileFactorMissing } from './completeness/profile-factor-missing.ts'
import { pumpingLevelMissing } from './completeness/pumping-level-missing.ts'
import { readingFinerThanInstrument } from './completeness/reading-finer-than-instrument.ts'
import { runConditionsNotDescribed } from './completeness/run-conditions-not-described.ts'
import { standingLevelMissing } from './completeness/standing-level-missing.ts'
import { suctionGaugeHeightMissing } from './completeness/suction-gauge-height-missing.ts'
import { suctionReadingMissing } from './completeness/suction-reading-missing.ts'
import { tapDiameterMissing } from './completeness/tap-diameter-missing.ts'
import { totaliserMultiplierNotStated } from './completeness/totaliser-multiplier-not-stated.ts'
import { traverseCountNotOfRule } from './completeness/traverse-count-not-of-rule.ts'
import { traverseOnOneDiameter } from './completeness/traverse-on-one-diameter.ts'
import { traversePointsOdd } from './completeness/traverse-points-odd.ts'
import { traversePointsTooFew } from './completeness/traverse-points-too-few.ts'
import { unitLooksMistaken } from './completeness/unit-looks-mistaken.ts'
import { waterTemperatureNotRead } from './completeness/water-temperature-not-read.ts'
import type { AnyFinding } from './finding.ts'
import { airInTheWater } from './flow/air-in-the-water.ts'
import { coarseFlowMethod } from './flow/coarse-flow-method.ts'
import { diameterDiffersFromRecord } from './flow/diameter-differs-from-record.ts'
import { flowBeyondPumpRecord } from './flow/flow-beyond-pump-record.ts'
import { flowMethodsDisagree } from './flow/flow-methods-disagree.ts'
import { flowNotAboveZero } from './flow/flow-not-above-zero.ts'
import { flumeDownstreamHeadMissing } from './flow/flume-downstream-head-missing.ts'
import { flumeHeadOutOfRange } from './flow/flume-head-out-of-range.ts'
import { flumeSubmerged } from './flow/flume-submerged.ts'
import { flumeThroatNotOfTable } from './flow/flume-throat-not-of-table.ts'
import { manometerReadingsSmall } from './flow/manometer-readings-small.ts'
import { manometerZeroDrift } from './flow/manometer-zero-drift.ts'
import { meanToCentreRatioUnusual } from './flow/mean-to-centre-ratio-unusual.ts'
import { orificeHeadTooSmall } from './flow/orifice-head-too-small.ts'
import { orificeRatioOutOfRange } from './flow/orifice-ratio-out-of-range.ts'
import { orificeTapTooNear } from './flow/orifice-tap-too-near.ts'
import { pipeNotFullAtMeter } from './flow/pipe-not-full-at-meter.ts'
import { pipeOutOfRound } from './flow/pipe-out-of-round.ts'
import { pipeVelocityHigh } from './flow/pipe-velocity-high.ts'
import { pipeVelocityImpossible } from './flow/pipe-velocity-impossible.ts'
import { pitotVelocityTooLow } from './flow/pitot-velocity-too-low.ts'
import { probeTakesMuchArea } from './flow/probe-takes-much-area.ts'
import { straightRunShortDownstream } from './flow/straight-run-short-downstream.ts'
import { straightRunShortUpstream } from './flow/straight-run-short-upstream.ts'
import { straightRunVeryShortUpstream } from './flow/straight-run-very-short-upstream.ts'
import { tankFilledTooFast } from './flow/tank-filled-too-fast.ts'
import { totaliserRunsBackwards } from './flow/totaliser-runs-backwards.ts'
import { totaliserVolumeTooSmall } from './flow/totaliser-volume-too-small.ts'
import { traversePointNegative } from './flow/traverse-point-negative.ts'
import { traversePositionOff } from './flow/traverse-position-off.ts'
import { traversesOfTwoDiametersDisagree } from './flow/traverses-of-two-diameters-disagree.ts'
import { ultrasonicLiningNotMeasured } from './flow/ultrasonic-lining-not-measured.ts'
import { ultrasonicPipeSettingDiffers } from './flow/ultrasonic-pipe-setting-differs.ts'
import { ultrasonicReadingsUnsteady } from './flow/ultrasonic-readings-unsteady.ts'
import { ultrasonicSignalWeak } from './flow/ultrasonic-signal-weak.ts'
import { ultrasonicSpacingDiffers } from './flow/ultrasonic-spacing-differs.ts'
import { ultrasonicZeroLarge } from './flow/ultrasonic-zero-large.ts'
import { velocityProfileJumps } from './flow/velocity-profile-jumps.ts'
import { velocityProfileLopsided } from './flow/velocity-profile-lopsided.ts'
import { velocityProfileVeryLopsided } from './flow/velocity-profile-very-lopsided.ts'
import { verticalJetBetweenRanges } from './flow/vertical-jet-between-ranges.ts'
import { wallVelocityAboveCentre } from './flow/wall-velocity-above-centre.ts'
import { waterTemperatureImplausible } from './flow/water-temperature-implausible.ts'
import { weirAirSpaceSmall } from './flow/weir-air-space-small.ts'
import { weirCrestTooLow } from './flow/weir-crest-too-low.ts'
import { weirDrowned } from './flow/weir-drowned.ts'
import { weirHeadLargeForCrestLength } from './flow/weir-head-large-for-crest-length.ts'
import { weirHeadOutOfRange } from './flow/weir-head-out-of-range.ts'
import { weirHeadReadTooNear } from './flow/weir-head-read-too-near.ts'
import { instrumentCalibrationExpired } from './identity/instrument-calibration-expired.ts'
import { instrumentOutsideItsRange } from './identity/instrument-outside-its-range.ts'
import { meterSerialDiffers } from './identity/meter-serial-differs.ts'
import { plantKindDiffers } from './identity/plant-kind-differs.ts'
import { testerQualificationLapsed } from './identity/tester-qualification-lapsed.ts'
import { readingsTooRound } from './integrity/readings-too-round.ts'
import { repeatsAllEqual } from './integrity/repeats-all-equal.ts'
import { timesTooRegular } from './integrity/times-too-regular.ts'
import { acousticLevelUsed } from './levels/acoustic-level-used.ts'
import { airLineEndOutOfWater } from './levels/air-line-end-out-of-water.ts'
import { airLineLengthUnverified } from './levels/air-line-length-unverified.ts'
import { airLinePressureAboveLine } from './levels/air-line-pressure-above-line.ts'
import { airLinePressureNotSettled } from './levels/air-line-pressure-not-settled.ts'
import { cascadingWater } from './levels/cascading-water.ts'
import { drawdownIsZero } from './levels/drawdown-is-zero.ts'
import { drawdownNotResolved } from './levels/drawdown-not-resolved.ts'
import { flowingWell } from './levels/flowing-well.ts'
import { levelBelowWellBottom } from './levels/level-below-well-bottom.ts'
import { levelMarksDiffer } from './levels/level-marks-differ.ts'
import { levelReadingDiffersFromRepeats } from './levels/level-reading-differs-from-repeats.ts'
import { levelReadingDiffersFromSeries } from './levels/level-reading-differs-from-series.ts'
import { levelRepeatsDisagree } from './levels/level-repeats-disagree.ts'
import { levelSeriesTooShort } from './levels/level-series-too-short.ts'
import { oilOnWater } from './levels/oil-on-water.ts'
import { oilThicknessNotRead } from './levels/oil-thickness-not-read.ts'
import { pumpingLevelAboveStanding } from './levels/pumping-level-above-standing.ts'
import { pumpingLevelBelowBowls } from './levels/pumping-level-below-bowls.ts'
import { pumpingLevelFallingFast } from './levels/pumping-level-falling-fast.ts'
import { pumpingLevelStillMoving } from './levels/pumping-level-still-moving.ts'
import { submergenceSmall } from './levels/submergence-small.ts'
import { currentUnbalanceHigh } from './power/current-unbalance-high.ts'
import { driveOutputMeasured } from './power/drive-output-measured.ts'
import { engineEfficiencyImpossible } from './power/engine-efficiency-impossible.ts'
import { fuelTimedTooShort } from './power/fuel-timed-too-short.ts'
import { gasVolumeNotAtBaseConditions } from './power/gas-volume-not-at-base-conditions.ts'
import { generationBehindMeter } from './power/generation-behind-meter.ts'
import { heatingValueImplausible } from './power/heating-value-implausible.ts'
import { meterAndPanelDisagree } from './power/meter-and-panel-disagree.ts'
import { meterConstantUnusual } from './power/meter-constant-unusual.ts'
import { meterRevolutionsTooFew } from './power/meter-revolutions-too-few.ts'
import { meterTimingOffByOne } from './power/meter-timing-off-by-one.ts'
import { meterTimingSpreadVeryWide } from './power/meter-timing-spread-very-wide.ts'
import { meterTimingSpreadWide } from './power/meter-timing-spread-wide.ts'
import { meterTimingTooShort } from './power/meter-timing-too-short.ts'
import { meterTimingsTooFew } from './power/meter-timings-too-few.ts'
import { motorLightlyLoaded } from './power/motor-lightly-loaded.ts'
import { motorLoadAboveServiceFactor } from './power/motor-load-above-service-factor.ts'
import { motorLoadImpossible } from './power/motor-load-impossible.ts'
import { multiplierDiffersFromRecord } from './power/multiplier-differs-from-record.ts'
import { multiplierNotATransformerRatio } from './power/multiplier-not-a-transformer-ratio.ts'
import { otherLoadOnMeter } from './power/other-load-on-meter.ts'
import { powerFactorAboveOne } from './power/power-factor-above-one.ts'
import { powerFactorUnusual } from './power/power-factor-unusual.ts'
import { powerUnsteadyDemand } from './power/power-unsteady-demand.ts'
import { registerIntervalTooCoarse } from './power/register-interval-too-coarse.ts'
import { speedAboveSynchronous } from './power/speed-above-synchronous.ts'
import { voltageFarFromNameplate } from './power/voltage-far-from-nameplate.ts'
import { voltageUnbalanceExtreme } from './power/voltage-unbalance-extreme.ts'
import { voltageUnbalanceHigh } from './power/voltage-unbalance-high.ts'
import { boosterAddsNoHead } from './pressure/booster-adds-no-head.ts'
import { dischargePressureNegative } from './pressure/discharge-pressure-negative.ts'
import { gaugeBeyondItsScale } from './pressure/gauge-beyond-its-scale.ts'
import { gaugeBeyondThrottledValve } from './pressure/gauge-beyond-throttled-valve.ts'
import { gaugeHeightImplausible } from './pressure/gauge-height-implausible.ts'
import { gaugeLowOnScale } from './pressure/gauge-low-on-scale.ts'
import { gaugeNotAtZero } from './pressure/gauge-not-at-zero.ts'
import { pressureUnsteady } from './pressure/pressure-unsteady.ts'
import { suctionBelowVacuum } from './pressure/suction-below-vacuum.ts'
import { suctionGaugeDisagreesWithSurface } from './pressure/suction-gauge-disagrees-with-surface.ts'
import { suctionLiftLarge } from './pressure/suction-lift-large.ts'
import { suctionMarginShort } from './pressure/suction-margin-short.ts'
import { annualEnergyInconsistent } from './results/annual-energy-inconsistent.ts'
import { annualHoursBeyondYear } from './results/annual-hours-beyond-year.ts'
import { annualVolumeBeyondCapacity } from './results/annual-volume-beyond-capacity.ts'
import { bowlEfficiencyAboveLimit } from './results/bowl-efficiency-above-limit.ts'
import { drawdownNotFollowingFlow } from './results/drawdown-not-following-flow.ts'
import { efficiencyAboveAttainable } from './results/efficiency-above-attainable.ts'
import { efficiencyAboveOne } from './results/efficiency-above-one.ts'
import { efficiencyBelowHalfOfAverage } from './results/efficiency-below-half-of-average.ts'
import { efficiencyUnusuallyLow } from './results/efficiency-unusually-low.ts'
import { energyBelowPhysicalLimit } from './results/energy-below-physical-limit.ts'
import { energyRateImplausible } from './results/energy-rate-implausible.ts'
import { handCheckDiffers } from './results/hand-check-differs.ts'
import { headLessThanLift } from './results/head-less-than-lift.ts'
import { runsBreakTheAffinityLaws } from './results/runs-break-the-affinity-laws.ts'
import { runsNotOnOneCurve } from './results/runs-not-on-one-curve.ts'
import { totalHeadNotPositive } from './results/total-head-not-positive.ts'
import { velocityHeadShareLarge } from './results/velocity-head-share-large.ts'
import { dateDiffersFromReadings } from './time/date-differs-from-readings.ts'
import { meterTimingOutsideRun } from './time/meter-timing-outside-run.ts'
import { pumpRunTimeFarTooShort } from './time/pump-run-time-far-too-short.ts'
import { pumpRunTimeShort } from './time/pump-run-time-short.ts'
import { readingsOfARunFarApart } from './time/readings-of-a-run-far-apart.ts'
import { readingsOutOfOrder } from './time/readings-out-of-order.ts'
import { runEndsBeforeItStarts } from './time/run-ends-before-it-starts.ts'
import { runsAtDifferentSpeedMixed } from './time/runs-at-different-speed-mixed.ts'
import { standingLevelBeforeRecovery } from './time/standing-level-before-recovery.ts'
import { traverseImplausiblyFast } from './time/traverse-implausibly-fast.ts'
import { fewDegreesOfFreedom } from './uncertainty/few-degrees-of-freedom.ts'
import { oneReadingDominates } from './uncertainty/one-reading-dominates.ts'
import { quantityTooUncertainToReport } from './uncertainty/quantity-too-uncertain-to-report.ts'

export const findings: readonly AnyFinding[] = [
  plantNotTestable,
  pumpingLevelMissing,
  standingLevelMissing,
  dischargePressureMissing,
  gaugeHeightMissing,
  suctionReadingMissing,
  suctionGaugeHeightMissing,
  tapDiameterMissing,
  dischargeCentreHeightMissing,
  flowReadingMissing,
  inputPowerReadingMissing,
  pipeDiameterMissing,
  profileFactorMissing,
  totaliserMultiplierNotStated,
  meterConstantMissing,
  meterMultiplierNotStated,
  powerFactorMissing,
  linesNotAllRead,
  traversePointsTooFew,
  traversePointsOdd,
  traverseCountNotOfRule,
  traverseOnOneDiameter,
  flowFromSinglePoint,
  pipeDiameterFromTable,
  instrumentNotNamed,
  waterTemperatureNotRead,
  runConditionsNotDescribed,
  nameplateMissing,
  unitLooksMistaken,
  readingFinerThanInstrument,
  heatingValueAssumed,
  energyRateMissing,
  testerQualificationLapsed,
  plantKindDiffers,
  instrumentCalibrationExpired,
  instrumentOutsideItsRange,
  meterSerialDiffers,
  readingsOutOfOrder,
  dateDiffersFromReadings,
  runEndsBeforeItStarts,
  pumpRunTimeShort,
  pumpRunTimeFarTooShort,
  standingLevelBeforeRecovery,
  readingsOfARunFarApart,
  meterTimingOutsideRun,
  traverseImplausiblyFast,
  runsAtDifferentSpeedMixed,
  pumpingLevelAboveStanding,
  drawdownIsZero,
  drawdownNotResolved,
  pumpingLevelBelowBowls,
  submergenceSmall,
  levelBelowWellBottom,
  pumpingLevelStillMoving,
  pumpingLevelFallingFast,
  levelSeriesTooShort,
  levelRepeatsDisagree,
  levelReadingDiffersFromSeries,
  levelReadingDiffersFromRepeats,
  airLinePressureAboveLine,
  airLineEndOutOfWater,
  airLineLengthUnverified,
  airLinePressureNotSettled,
  acousticLevelUsed,
  oilOnWater,
  oilThicknessNotRead,
  cascadingWater,
  levelMarksDiffer,
  flowingWell,
  gaugeBeyondItsScale,
  gaugeLowOnScale,
  gaugeNotAtZero,
  pressureUnsteady,
  dischargePressureNegative,
  gaugeHeightImplausible,
  gaugeBeyondThrottledValve,
  boosterAddsNoHead,
  suctionMarginShort,
  suctionLiftLarge,
  suctionGaugeDisagreesWithSurface,
  suctionBelowVacuum,
  straightRunShortUpstream,
  straightRunVeryShortUpstream,
  straightRunShortDownstream,
  velocityProfileLopsided,
  velocityProfileVeryLopsided,
  meanToCentreRatioUnusual,
  wallVelocityAboveCentre,
  velocityProfileJumps,
  traversePointNegative,
  pitotVelocityTooLow,
  manometerReadingsSmall,
  pipeVelocityHigh,
  pipeVelocityImpossible,
  manometerZeroDrift,
  traversesOfTwoDiametersDisagree,
  pipeOutOfRound,
  diameterDiffersFromRecord,
  traversePositionOff,
  probeTakesMuchArea,
  flowMethodsDisagree,
  flowBeyondPumpRecord,
  airInTheWater,
  flowNotAboveZero,
  ultrasonicSignalWeak,
  ultrasonicPipeSettingDiffers,
  ultrasonicSpacingDiffers,
  ultrasonicLiningNotMeasured,
  ultrasonicZeroLarge,
  ultrasonicReadingsUnsteady,
  totaliserVolumeTooSmall,
  totaliserRunsBackwards,
  pipeNotFullAtMeter,
  waterTemperatureImplausible,
  weirHeadOutOfRange,
  weirHeadLargeForCrestLength,
  weirCrestTooLow,
  weirHeadReadTooNear,
  weirDrowned,
  weirAirSpaceSmall,
  flumeThroatNotOfTable,
  flumeHeadOutOfRange,
  flumeSubmerged,
  flumeDownstreamHeadMissing,
  orificeRatioOutOfRange,
  orificeHeadTooSmall,
  orificeTapTooNear,
  verticalJetBetweenRanges,
  tankFilledTooFast,
  coarseFlowMethod,
  meterTimingsTooFew,
  meterTimingTooShort,
  meterRevolutionsTooFew,
  meterTimingSpreadWide,
  meterTimingSpreadVeryWide,
  meterTimingOffByOne,
  meterConstantUnusual,
  multiplierDiffersFromRecord,
  multiplierNotATransformerRatio,
  motorLoadAboveServiceFactor,
  motorLoadImpossible,
  motorLightlyLoaded,
  otherLoadOnMeter,
  generationBehindMeter,
  currentUnbalanceHigh,
  voltageUnbalanceHigh,
  voltageUnbalanceExtreme,
  voltageFarFromNameplate,
  powerFactorAboveOne,
  powerFactorUnusual,
  meterAndPanelDisagree,
  driveOutputMeasured,
  registerIntervalTooCoarse,
  powerUnsteadyDemand,
  fuelTimedTooShort,
  gasVolumeNotAtBaseConditions,
  heatingValueImplausible,
  engineEfficiencyImpossible,
  speedAboveSynchronous,
  efficiencyAboveOne,
  totalHeadNotPositive,
  headLessThanLift,
  efficiencyAboveAttainable,
  bowlEfficiencyAboveLimit,
  efficiencyUnusuallyLow,
  efficiencyBelowHalfOfAverage,
  velocityHeadShareLarge,
  energyBelowPhysicalLimit,
  handCheckDiffers,
  runsNotOnOneCurve,
  runsBreakTheAffinityLaws,
  drawdownNotFollowingFlow,
  energyRateImplausible,
  annualEnergyInconsistent,
  annualVolumeBeyondCapacity,
  annualHoursBeyondYear,
  oneReadingDominates,
  fewDegreesOfFreedom,
  quantityTooUncertainToReport,
  repeatsAllEqual,
  readingsTooRound,
  timesTooRegular,
]
