/** Points inside the range of the formulas of motors, fuel and registers, in SI: usual, small and large. */
import type { FormulaInputs } from './testing.ts'

export type Points = Readonly<Record<string, readonly [FormulaInputs, FormulaInputs, FormulaInputs]>>

export const pointsOfDrivers: Points = {
  'fuel-cost-per-volume': [
    { fuelPerVolume: 7.1e-5, price: 1083 },
    { fuelPerVolume: 0.137, price: 0.346 },
    { fuelPerVolume: 1e-5, price: 400 },
  ],
  'fuel-per-volume': [
    { rate: 5.83e-6, flow: 0.082 },
    { rate: 0.0078, flow: 0.0568 },
    { rate: 1e-6, flow: 0.2 },
  ],
  'fuel-power': [
    { rate: 5.83e-6, heatingValue: 38.29e9 },
    { rate: 0.0078, heatingValue: 38.6e6 },
    { rate: 2e-5, heatingValue: 25.5e9 },
  ],
  'fuel-rate': [
    { volume: 0.0157, elapsed: 2700 },
    { volume: 14, elapsed: 1800 },
    { volume: 0.002, elapsed: 900 },
  ],
  'gas-at-base': [
    { volume: 11.3, gaugePressure: 34_474, barometricPressure: 95_837, temperature: 25.6 },
    { volume: 2, gaugePressure: 1740, barometricPressure: 101_325, temperature: -5 },
    { volume: 60, gaugePressure: 200e3, barometricPressure: 85_000, temperature: 40 },
  ],
  'interval-power': [
    { energy: 16.2e6, elapsed: 1800 },
    { energy: 1e6, elapsed: 60 },
    { energy: 2e9, elapsed: 7200 },
  ],
  'line-shaft-loss': [
    { friction: 775, speed: 29.3, diameter: 0.0254, length: 30.48 },
    { friction: 400, speed: 20, diameter: 0.05, length: 120 },
    { friction: 1000, speed: 60, diameter: 0.02, length: 15 },
  ],
  'liquid-fuel-at-base': [
    { volume: 0.0157, expansion: 0.00084, temperature: 32 },
    { volume: 0.004, expansion: 0.00122, temperature: -10 },
    { volume: 0.05, expansion: 0.003, temperature: 15 },
  ],
  'motor-output-power': [
    { motorPower: 77e3, motorEfficiency: 0.945 },
    { motorPower: 5e3, motorEfficiency: 0.85 },
    { motorPower: 300e3, motorEfficiency: 0.962 },
  ],
  'primary-power': [
    { secondary: 1940, currentRatio: 40, voltageRatio: 1 },
    { secondary: 300, currentRatio: 20, voltageRatio: 20 },
    { secondary: 77e3, currentRatio: 1, voltageRatio: 1 },
  ],
  'pump-efficiency': [
    { waterPower: 52e3, shaftPower: 70e3 },
    { waterPower: 4e3, shaftPower: 7e3 },
    { waterPower: 200e3, shaftPower: 236e3 },
  ],
  'pump-shaft-power': [
    { motorOutput: 73e3, transmissionEfficiency: 1, shaftLoss: 1500 },
    { motorOutput: 30e3, transmissionEfficiency: 0.95, shaftLoss: 400 },
    { motorOutput: 9e3, transmissionEfficiency: 0.92, shaftLoss: 800 },
  ],
  'register-energy': [
    { start: 3.1e7, end: 4.7e7, rollover: 1e8, multiplier: 1 },
    { start: 3.59e8, end: 1e7, rollover: 3.6e8, multiplier: 40 },
    { start: 2e6, end: 3.6e6, rollover: 1e7, multiplier: 80 },
  ],
  'two-wattmeter-power': [
    { first: 30e3, second: 12e3 },
    { first: 30e3, second: -4e3 },
    { first: 500, second: 500 },
  ],
  'two-wattmeter-power-factor': [
    { first: 30e3, second: 12e3 },
    { first: 30e3, second: -4e3 },
    { first: 500, second: 600 },
  ],
  'water-work-per-fuel': [
    { waterPower: 45e3, rate: 5.83e-6 },
    { waterPower: 38e3, rate: 0.0078 },
    { waterPower: 2e3, rate: 1e-6 },
  ],
}

/** The same for water levels, and for the water at the pump. */
export const pointsOfLevels: Points = {
  'acoustic-level': [
    { shown: 36, casing: 20, set: 15 },
    { shown: 5, casing: 4, set: 20 },
    { shown: 140, casing: 31, set: 15 },
  ],
  'air-line-end-pressure': [
    { pressure: 187e3, airDensity: 3.5, length: 64 },
    { pressure: 20e3, airDensity: 1.5, length: 20 },
    { pressure: 700e3, airDensity: 9.7, length: 150 },
  ],
  recovery: [
    { pumpingLevel: 43, levelAfterStop: 37, standingLevel: 36 },
    { pumpingLevel: 20, levelAfterStop: 19.5, standingLevel: 12 },
    { pumpingLevel: 90, levelAfterStop: 60, standingLevel: 60.5 },
  ],
  'annulus-area': [
    { column: 0.2, tube: 0.06 },
    { column: 0.15, tube: 0.03 },
    { column: 0.35, tube: 0.1 },
  ],
  'bowl-head': [
    { totalHead: 73, friction: 1.2 },
    { totalHead: 12, friction: 0.1 },
    { totalHead: 200, friction: 9 },
  ],
  'friction-factor': [
    { reynolds: 4e5, roughness: 0.002 },
    { reynolds: 1200, roughness: 0.01 },
    { reynolds: 3000, roughness: 0.01 },
  ],
  'head-at-impeller': [
    { suctionHead: -3, velocityHead: 0.3, impellerHeight: 0.4 },
    { suctionHead: 20, velocityHead: 0.1, impellerHeight: -1 },
    { suctionHead: 2, velocityHead: 0.5, impellerHeight: 0.2 },
  ],
  'hydraulic-diameter': [
    { column: 0.2, tube: 0.06 },
    { column: 0.15, tube: 0.03 },
    { column: 0.35, tube: 0.1 },
  ],
  'kinematic-viscosity': [
    { temperature: 20, density: 998.2 },
    { temperature: 2, density: 999.9 },
    { temperature: 60, density: 983 },
  ],
  'level-from-pressure': [
    { length: 64, pressure: 265e3, density: 998.4 },
    { length: 20, pressure: 12e3, density: 999.9 },
    { length: 150, pressure: 700e3, density: 996 },
  ],
  'level-slope': [
    { times: [60, 660, 1380, 2100], levels: [39, 39.2, 39.25, 39.3] },
    { times: [30, 90, 330], levels: [12, 11.7, 11.9] },
    { times: [300, 3900, 7500, 9300, 9900], levels: [80, 82, 83, 83.4, 83.5] },
  ],
  'mean-pressure': [
    { pressures: [265e3, 264e3, 264.5e3] },
    { pressures: [12e3, 11e3] },
    { pressures: [700e3, 702e3, 701e3, 699e3] },
  ],
  'npsh-available': [
    { barometricPressure: 98e3, vapourPressure: 2.3e3, density: 998, head: 20 },
    { barometricPressure: 85e3, vapourPressure: 7e3, density: 992, head: -4 },
    { barometricPressure: 101e3, vapourPressure: 900, density: 999.9, head: 2 },
  ],
  'oil-interface-level': [
    { reached: 41, thickness: 0.6, relativeDensity: 0.88 },
    { reached: 12, thickness: 0.05, relativeDensity: 0.9 },
    { reached: 90, thickness: 2, relativeDensity: 0.85 },
  ],
  'oil-top-level': [
    { reached: 41, thickness: 0.6, relativeDensity: 0.88 },
    { reached: 12, thickness: 0.05, relativeDensity: 0.9 },
    { reached: 90, thickness: 2, relativeDensity: 0.85 },
  ],
  'pipe-friction': [
    { factor: 0.02, length: 70, diameter: 0.2, velocity: 2.4 },
    { factor: 0.035, length: 20, diameter: 0.08, velocity: 0.7 },
    { factor: 0.015, length: 150, diameter: 0.3, velocity: 4 },
  ],
  'reynolds-number': [
    { velocity: 2.4, diameter: 0.2, viscosity: 1e-6 },
    { velocity: 0.7, diameter: 0.08, viscosity: 1.6e-6 },
    { velocity: 4, diameter: 0.3, viscosity: 6e-7 },
  ],
  submergence: [
    { bowlDepth: 64, pumpingLevel: 43 },
    { bowlDepth: 30, pumpingLevel: 29 },
    { bowlDepth: 200, pumpingLevel: 90 },
  ],
  'vapour-pressure': [{ temperature: 20 }, { temperature: 2 }, { temperature: 80 }],
}
