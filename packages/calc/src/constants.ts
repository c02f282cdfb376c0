/** Exact numbers the method rests on, each with its source. */

/** Standard acceleration of free fall, m/s², exact (CGPM 1901; NIST SP 811, appendix B.8, 2008). */
export const STANDARD_GRAVITY = 9.80665

/** Standard atmosphere, Pa, exact (NIST SP 811, appendix B.8, 2008). */
export const STANDARD_ATMOSPHERE = 101325

/** Specific gas constant of dry air, J/(kg·K) (ISO 2533:1975, standard atmosphere; from memory). */
export const GAS_CONSTANT_OF_AIR = 287.05

/** Air in a manometer is taken at 15 °C, K: the standard atmosphere's temperature at sea level (ISO 2533:1975; from memory). */
export const MANOMETER_AIR_TEMPERATURE = 288.15

/** Ratio of a circle's circumference to its diameter, nearest double. */
export const PI = Math.PI
