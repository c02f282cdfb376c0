/** Every formula of the method, in order of the alphabet. */
import type { AnyFormula } from '../formula.ts'
import { acousticLevel } from './acoustic-level.ts'
import { airLineEndPressure } from './air-line-end-pressure.ts'
import { annulusArea } from './annulus-area.ts'
import { areaBesideProbe } from './area-beside-probe.ts'
import { blinkPower } from './blink-power.ts'
import { boosterFieldHead } from './booster-field-head.ts'
import { boosterTotalHead } from './booster-total-head.ts'
import { bowlHead } from './bowl-head.ts'
import { cipollettiWeirFlow } from './cipolletti-weir-flow.ts'
import { correctedRate } from './corrected-rate.ts'
import { costPerVolume } from './cost-per-volume.ts'
import { currentUnbalance } from './current-unbalance.ts'
import { diameterFromOutside } from './diameter-from-outside.ts'
import { diskPower } from './disk-power.ts'
import { drawdown } from './drawdown.ts'
import { driveInputPower } from './drive-input-power.ts'
import { energyPerVolume } from './energy-per-volume.ts'
import { energyPerVolumeAndHead } from './energy-per-volume-and-head.ts'
import { fieldHead } from './field-head.ts'
import { flowAtTap } from './flow-at-tap.ts'
import { flowInPipe } from './flow-in-pipe.ts'
import { francisWeirFlow } from './francis-weir-flow.ts'
import { frictionFactor } from './friction-factor.ts'
import { fuelCostPerVolume } from './fuel-cost-per-volume.ts'
import { fuelPerVolume } from './fuel-per-volume.ts'
import { fuelPower } from './fuel-power.ts'
import { fuelRate } from './fuel-rate.ts'
import { gasAtBase } from './gas-at-base.ts'
import { gaugeHead } from './gauge-head.ts'
import { headAtImpeller } from './head-at-impeller.ts'
import { hydraulicDiameter } from './hydraulic-diameter.ts'
import { inputPower } from './input-power.ts'
import { intervalPower } from './interval-power.ts'
import { jetVelocity } from './jet-velocity.ts'
import { kinematicViscosity } from './kinematic-viscosity.ts'
import { leastEnergyPerVolumeAndHead } from './least-energy-per-volume-and-head.ts'
import { levelFromPressure } from './level-from-pressure.ts'
import { levelSlope } from './level-slope.ts'
import { lift } from './lift.ts'
import { liftFromSurface } from './lift-from-surface.ts'
import { lineShaftLoss } from './line-shaft-loss.ts'
import { liquidFuelAtBase } from './liquid-fuel-at-base.ts'
import { manometerAirDensity } from './manometer-air-density.ts'
import { manometerFactorAir } from './manometer-factor-air.ts'
import { manometerFactorFluid } from './manometer-factor-fluid.ts'
import { meanCurrent } from './mean-current.ts'
import { meanDiameter } from './mean-diameter.ts'
import { meanPower } from './mean-power.ts'
import { meanPressure } from './mean-pressure.ts'
import { meanRate } from './mean-rate.ts'
import { meanVoltage } from './mean-voltage.ts'
import { meteredPower } from './metered-power.ts'
import { motorInputPower } from './motor-input-power.ts'
import { motorLoad } from './motor-load.ts'
import { motorOutputPower } from './motor-output-power.ts'
import { npshAvailable } from './npsh-available.ts'
import { oilInterfaceLevel } from './oil-interface-level.ts'
import { oilTopLevel } from './oil-top-level.ts'
import { orificeFlow } from './orifice-flow.ts'
import { outsideFromCircumference } from './outside-from-circumference.ts'
import { overallPlantEfficiency } from './overall-plant-efficiency.ts'
import { parshallFlow } from './parshall-flow.ts'
import { pipeArea } from './pipe-area.ts'
import { pipeFriction } from './pipe-friction.ts'
import { pipeVelocity } from './pipe-velocity.ts'
import { pitotVelocity } from './pitot-velocity.ts'
import { pointMeanVelocity } from './point-mean-velocity.ts'
import { pressureHead } from './pressure-head.ts'
import { primaryPower } from './primary-power.ts'
import { profileVelocity } from './profile-velocity.ts'
import { pulsePower } from './pulse-power.ts'
import { pumpEfficiency } from './pump-efficiency.ts'
import { pumpShaftPower } from './pump-shaft-power.ts'
import { recovery } from './recovery.ts'
import { rectangularWeirFlow } from './rectangular-weir-flow.ts'
import { registerEnergy } from './register-energy.ts'
import { relativeFlowDifference } from './relative-flow-difference.ts'
import { reynoldsNumber } from './reynolds-number.ts'
import { segmentArea } from './segment-area.ts'
import { singlePhasePower } from './single-phase-power.ts'
import { soundedLevel } from './sounded-level.ts'
import { specificCapacity } from './specific-capacity.ts'
import { submergence } from './submergence.ts'
import { sumOfFlows } from './sum-of-flows.ts'
import { tankFlow } from './tank-flow.ts'
import { tankVolume } from './tank-volume.ts'
import { threePhasePower } from './three-phase-power.ts'
import { timingSpread } from './timing-spread.ts'
import { totalDynamicHead } from './total-dynamic-head.ts'
import { totaliserFlow } from './totaliser-flow.ts'
import { totaliserVolume } from './totaliser-volume.ts'
import { traverseMeanVelocity } from './traverse-mean-velocity.ts'
import { twoWattmeterPower } from './two-wattmeter-power.ts'
import { twoWattmeterPowerFactor } from './two-wattmeter-power-factor.ts'
import { vNotchFlow } from './v-notch-flow.ts'
import { vapourPressure } from './vapour-pressure.ts'
import { velocityHead } from './velocity-head.ts'
import { ventedPressure } from './vented-pressure.ts'
import { verticalJetFlow } from './vertical-jet-flow.ts'
import { verticalOverflowFlow } from './vertical-overflow-flow.ts'
import { voltageUnbalance } from './voltage-unbalance.ts'
import { waterDensity } from './water-density.ts'
import { waterPower } from './water-power.ts'
import { waterWorkPerFuel } from './water-work-per-fuel.ts'
import { zeroedRate } from './zeroed-rate.ts'
import { zeroedVelocity } from './zeroed-velocity.ts'

export const formulas = [
  acousticLevel,
  airLineEndPressure,
  annulusArea,
  areaBesideProbe,
  blinkPower,
  boosterFieldHead,
  boosterTotalHead,
  bowlHead,
  cipollettiWeirFlow,
  correctedRate,
  costPerVolume,
  currentUnbalance,
  diameterFromOutside,
  diskPower,
  drawdown,
  driveInputPower,
  energyPerVolume,
  energyPerVolumeAndHead,
  fieldHead,
  flowAtTap,
  flowInPipe,
  francisWeirFlow,
  frictionFactor,
  fuelCostPerVolume,
  fuelPerVolume,
  fuelPower,
  fuelRate,
  gasAtBase,
  gaugeHead,
  headAtImpeller,
  hydraulicDiameter,
  inputPower,
  intervalPower,
  jetVelocity,
  kinematicViscosity,
  leastEnergyPerVolumeAndHead,
  levelFromPressure,
  levelSlope,
  lift,
  liftFromSurface,
  lineShaftLoss,
  liquidFuelAtBase,
  manometerAirDensity,
  manometerFactorAir,
  manometerFactorFluid,
  meanCurrent,
  meanDiameter,
  meanPower,
  meanPressure,
  meanRate,
  meanVoltage,
  meteredPower,
  motorInputPower,
  motorLoad,
  motorOutputPower,
  npshAvailable,
  oilInterfaceLevel,
  oilTopLevel,
  orificeFlow,
  outsideFromCircumference,
  overallPlantEfficiency,
  parshallFlow,
  pipeArea,
  pipeFriction,
  pipeVelocity,
  pitotVelocity,
  pointMeanVelocity,
  pressureHead,
  primaryPower,
  profileVelocity,
  pulsePower,
  pumpEfficiency,
  pumpShaftPower,
  recovery,
  rectangularWeirFlow,
  registerEnergy,
  relativeFlowDifference,
  reynoldsNumber,
  segmentArea,
  singlePhasePower,
  soundedLevel,
  specificCapacity,
  submergence,
  sumOfFlows,
  tankFlow,
  tankVolume,
  threePhasePower,
  timingSpread,
  totalDynamicHead,
  totaliserFlow,
  totaliserVolume,
  traverseMeanVelocity,
  twoWattmeterPower,
  twoWattmeterPowerFactor,
  vNotchFlow,
  vapourPressure,
  velocityHead,
  ventedPressure,
  verticalJetFlow,
  verticalOverflowFlow,
  voltageUnbalance,
  waterDensity,
  waterPower,
  waterWorkPerFuel,
  zeroedRate,
  zeroedVelocity,
] as unknown as readonly AnyFormula[]
