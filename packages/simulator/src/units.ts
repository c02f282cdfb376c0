/** Units of the field in SI: the simulator thinks in SI and writes what a tester writes. Exact by definition. */
export const FOOT = 0.3048
export const INCH = 0.0254
/** US gallon of 231 cubic inches a minute. */
export const GALLON = 231 * INCH ** 3
export const GPM = GALLON / 60
/** Pound-force (0.45359237 kg at standard gravity) on a square inch. */
export const PSI = (0.45359237 * 9.80665) / INCH ** 2
/** Mechanical horsepower, 550 foot-pounds a second. */
export const HORSEPOWER = 550 * FOOT * 0.45359237 * 9.80665
export const ACRE_FOOT = 43_560 * FOOT ** 3
export const GRAVITY = 9.80665

export const fahrenheit = (celsius: number): number => celsius * 1.8 + 32

/**
 * Density of water in kg/m³ from its temperature in °C. Another equation than the method’s, so that an error in either
 * would show: Thiesen’s form, as in McCutcheon, Martin and Barnwell, Handbook of Hydrology, 1993 (from memory).
 */
export const densityOfWater = (celsius: number): number =>
  1000 * (1 - ((celsius + 288.9414) / (508_929.2 * (celsius + 68.12963))) * (celsius - 3.9863) ** 2)
