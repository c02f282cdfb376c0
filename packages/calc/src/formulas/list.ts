/** Every formula of the method, in order of the alphabet. */
import type { AnyFormula } from '../formula.ts'
import { costPerVolume } from './cost-per-volume.ts'
import { diameterFromOutside } from './diameter-from-outside.ts'
import { diskPower } from './disk-power.ts'
import { drawdown } from './drawdown.ts'
import { energyPerVolume } from './energy-per-volume.ts'
import { energyPerVolumeAndHead } from './energy-per-volume-and-head.ts'
import { fieldHead } from './field-head.ts'
import { flowInPipe } from './flow-in-pipe.ts'
import { gaugeHead } from './gauge-head.ts'
import { inputPower } from './input-power.ts'
import { leastEnergyPerVolumeAndHead } from './least-energy-per-volume-and-head.ts'
import { lift } from './lift.ts'
import { manometerAirDensity } from './manometer-air-density.ts'
import { manometerFactorAir } from './manometer-factor-air.ts'
import { manometerFactorFluid } from './manometer-factor-fluid.ts'
import { meanDiameter } from './mean-diameter.ts'
import { meanPower } from './mean-power.ts'
import { overallPlantEfficiency } from './overall-plant-efficiency.ts'
import { pipeArea } from './pipe-area.ts'
import { pipeVelocity } from './pipe-velocity.ts'
import { pitotVelocity } from './pitot-velocity.ts'
import { pointMeanVelocity } from './point-mean-velocity.ts'
import { pressureHead } from './pressure-head.ts'
import { soundedLevel } from './sounded-level.ts'
import { specificCapacity } from './specific-capacity.ts'
import { timingSpread } from './timing-spread.ts'
import { totalDynamicHead } from './total-dynamic-head.ts'
import { traverseMeanVelocity } from './traverse-mean-velocity.ts'
import { velocityHead } from './velocity-head.ts'
import { ventedPressure } from './vented-pressure.ts'
import { waterDensity } from './water-density.ts'
import { waterPower } from './water-power.ts'

export const formulas = [
  costPerVolume,
  diameterFromOutside,
  diskPower,
  drawdown,
  energyPerVolume,
  energyPerVolumeAndHead,
  fieldHead,
  flowInPipe,
  gaugeHead,
  inputPower,
  leastEnergyPerVolumeAndHead,
  lift,
  manometerAirDensity,
  manometerFactorAir,
  manometerFactorFluid,
  meanDiameter,
  meanPower,
  overallPlantEfficiency,
  pipeArea,
  pipeVelocity,
  pitotVelocity,
  pointMeanVelocity,
  pressureHead,
  soundedLevel,
  specificCapacity,
  timingSpread,
  totalDynamicHead,
  traverseMeanVelocity,
  velocityHead,
  ventedPressure,
  waterDensity,
  waterPower,
] as unknown as readonly AnyFormula[]
