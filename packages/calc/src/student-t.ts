/**
 * Coverage factor of a two-sided 95 % interval: the 0.975 quantile of Student's t distribution
 * (JCGM 100:2008, table G.2, prints it to two decimals).
 *
 * To 30 degrees of freedom the quantiles were computed from the distribution's closed form (Abramowitz and
 * Stegun, Handbook of Mathematical Functions, 1964, 26.7.3 and 26.7.4); above, the expansion 26.7.5 in 1/ν,
 * whose error is below 4e-8 there.
 */
const TO_THIRTY = [
  12.706204736, 4.30265273, 3.182446305, 2.776445105, 2.570581836, 2.446911851, 2.364624252, 2.306004135, 2.262157163,
  2.228138852, 2.20098516, 2.17881283, 2.160368656, 2.144786688, 2.131449546, 2.119905299, 2.109815578, 2.10092204,
  2.093024054, 2.085963447, 2.079613845, 2.073873068, 2.06865761, 2.063898562, 2.059538553, 2.055529439, 2.051830516,
  2.048407142, 2.045229642, 2.042272456,
]

/** 0.975 quantile of the normal distribution. */
const NORMAL = 1.959963984540054

/** Coefficients of 1/ν, 1/ν², 1/ν³, 1/ν⁴ of the expansion at the normal quantile. */
const EXPANSION = [2.372271230298562, 2.8224986157396112, 2.555849679507722, 1.5895340533938225] as const

/** Factor k for whole degrees of freedom ≥ 1, or Infinity. */
export function coverageFactor95(degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity) return NORMAL
  if (degreesOfFreedom <= 30) return TO_THIRTY[degreesOfFreedom - 1]!
  const r = 1 / degreesOfFreedom
  return NORMAL + r * (EXPANSION[0] + r * (EXPANSION[1] + r * (EXPANSION[2] + r * EXPANSION[3])))
}
