/**
 * Nominal full-load efficiencies of motors, where the nameplate says nothing.
 *
 * 60 Hz: US Code of Federal Regulations, 10 CFR 431.25, table 1, general purpose motors (subtype I), 1 to 200 hp.
 * 50 Hz: the formula of IEC 60034-30-1:2014 for class IE3, 0.75 to 200 kW (coefficients from memory; it gives the
 * standard's table back).
 */
import { logarithm } from '../elementary.ts'

type Poles = 2 | 4 | 6
type Row = readonly [horsepower: number, two: number, four: number, six: number]

const OPEN: readonly Row[] = [
  [1, 77, 85.5, 82.5],
  [1.5, 84, 86.5, 86.5],
  [2, 85.5, 86.5, 87.5],
  [3, 85.5, 89.5, 88.5],
  [5, 86.5, 89.5, 89.5],
  [7.5, 88.5, 91, 90.2],
  [10, 89.5, 91.7, 91.7],
  [15, 90.2, 93, 91.7],
  [20, 91, 93, 92.4],
  [25, 91.7, 93.6, 93],
  [30, 91.7, 94.1, 93.6],
  [40, 92.4, 94.1, 94.1],
  [50, 93, 94.5, 94.1],
  [60, 93.6, 95, 94.5],
  [75, 93.6, 95, 94.5],
  [100, 93.6, 95.4, 95],
  [125, 94.1, 95.4, 95],
  [150, 94.1, 95.8, 95.4],
  [200, 95, 95.8, 95.4],
]
const ENCLOSED: readonly Row[] = [
  [1, 77, 85.5, 82.5],
  [1.5, 84, 86.5, 87.5],
  [2, 85.5, 86.5, 88.5],
  [3, 86.5, 89.5, 89.5],
  [5, 88.5, 89.5, 89.5],
  [7.5, 89.5, 91.7, 91],
  [10, 90.2, 91.7, 91],
  [15, 91, 92.4, 91.7],
  [20, 91, 93, 91.7],
  [25, 91.7, 93.6, 93],
  [30, 91.7, 93.6, 93],
  [40, 92.4, 94.1, 94.1],
  [50, 93, 94.5, 94.1],
  [60, 93.6, 95, 94.5],
  [75, 93.6, 95.4, 94.5],
  [100, 94.1, 95.4, 95],
  [125, 95, 95.4, 95],
  [150, 95, 95.8, 95.8],
  [200, 95.4, 96.2, 95.8],
]
/** Efficiency in percent is A·x³ + B·x² + C·x + D, x the decadic logarithm of the rated kilowatts. */
const AT_50_HZ: Readonly<Record<Poles, readonly [number, number, number, number]>> = {
  2: [0.3569, -3.3076, 11.6108, 82.2503],
  4: [0.0773, -1.8951, 9.2984, 83.7025],
  6: [0.1252, -2.613, 11.9963, 80.4769],
}
const COLUMN = { 2: 1, 4: 2, 6: 3 } as const
const WATTS_PER_HORSEPOWER = 745.6998715822702
/** Synchronous speeds in rev/s, by frequency. */
const SPEEDS: readonly (readonly [revolutions: number, hertz: 50 | 60, poles: Poles])[] = [
  [60, 60, 2],
  [30, 60, 4],
  [20, 60, 6],
  [50, 50, 2],
  [25, 50, 4],
  [50 / 3, 50, 6],
]

function fromRows(rows: readonly Row[], horsepower: number, poles: Poles): number | undefined {
  const above = rows.findIndex(([rated]) => rated >= horsepower * (1 - 1e-9))
  const upper = rows[above]
  if (upper === undefined || (above === 0 && upper[0] > horsepower * (1 + 1e-9))) return undefined
  const column = COLUMN[poles]
  const lower = rows[above - 1]
  if (lower === undefined || Math.abs(upper[0] - horsepower) <= 1e-9 * horsepower) return upper[column] / 100
  const share = logarithm(horsepower / lower[0]) / logarithm(upper[0] / lower[0])
  return (lower[column] + share * (upper[column] - lower[column])) / 100
}

/**
 * Nominal efficiency at full load, a ratio, of a new motor; between two rows linear in the logarithm of the power.
 * Undefined outside the tables: a speed of no listed pole count, a power beyond the rows.
 *
 * @param ratedPower in W
 * @param synchronousSpeed in rev/s
 */
export function nominalMotorEfficiency(
  ratedPower: number,
  synchronousSpeed: number,
  enclosure: 'open' | 'enclosed',
): number | undefined {
  const speed = SPEEDS.find(([revolutions]) => Math.abs(synchronousSpeed - revolutions) < 1e-6 * revolutions)
  if (speed === undefined) return undefined
  const [, hertz, poles] = speed
  if (hertz === 60) return fromRows(enclosure === 'open' ? OPEN : ENCLOSED, ratedPower / WATTS_PER_HORSEPOWER, poles)
  const kilowatts = ratedPower / 1000
  if (kilowatts < 0.75 || kilowatts > 200) return undefined
  const [a, b, c, d] = AT_50_HZ[poles]
  const x = logarithm(kilowatts) / logarithm(10)
  return (((a * x + b) * x + c) * x + d) / 100
}
