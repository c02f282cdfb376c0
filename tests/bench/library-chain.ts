/**
 * The chain of formulas of a well test in mathjs, a general library of units and expressions: values only.
 *
 * Written for that library as well as it allows: readings are units made beforehand, expressions are compiled once, one
 * scope is used again and again, and sums are written out, because its `sum` and `max` over lists are several times slower.
 */

import type { QuantityId, Sheet } from '@liftledger/calc'
import { sounded } from '@liftledger/calc/testing'
import { all, create, type Unit } from 'mathjs'

export const math = create(all!)
math.createUnit('rev')
math.createUnit('USD')

type Reading = { readonly value: number; readonly unit: string }
type Value = Unit | number

const quantity = ({ value, unit }: Reading): Value => (unit === '1' ? value : math.unit(value, unit))

/** What a reading is called in the expressions: by its place on the sheet. */
function readingsOf(sheet: Sheet): Map<string, { readonly place: string; readonly reading: Reading }> {
  const run = sheet.runs[0]!
  const { flow, power, dischargePressure } = run
  if (flow?.method !== 'pitot-traverse' || power?.method !== 'meter-revolutions')
    throw new Error('The sheet of the bench has a pitot traverse and a disk meter.')
  const readings = new Map<string, { place: string; reading: Reading }>()
  const add = (name: string, place: string, reading: Reading | undefined): void => {
    if (reading === undefined) throw new Error(`The sheet of the bench lacks ${place}.`)
    readings.set(name, { place, reading })
  }
  add('temperature', '/runs/0/waterTemperature', run.waterTemperature)
  add('hs', '/standingLevel/reading', sounded(sheet.standingLevel).reading)
  add('hp', '/runs/0/pumpingLevel/reading', sounded(run.pumpingLevel).reading)
  add('zd', '/dischargeCentreAboveDatum', sheet.dischargeCentreAboveDatum)
  add('shown', '/runs/0/dischargePressure/reading', dischargePressure?.reading)
  add('zero', '/runs/0/dischargePressure/gaugeZero', dischargePressure?.gaugeZero)
  const height = 'gaugeHeightAboveDischargeCentre'
  add('zg', `/runs/0/dischargePressure/${height}`, dischargePressure?.[height])
  add('d1', '/runs/0/flow/pipe/insideDiameters/0', flow.pipe.insideDiameters?.[0])
  add('d2', '/runs/0/flow/pipe/insideDiameters/1', flow.pipe.insideDiameters?.[1])
  add('C', '/runs/0/flow/tube/coefficient', flow.tube.coefficient)
  add('Kh', '/runs/0/power/kh', power.kh)
  add('M', '/runs/0/power/multiplier', power.multiplier)
  flow.diameters.forEach(({ points }, d) => {
    points.forEach(({ value, unit }, p) => {
      add(`h${d}_${p}`, `/runs/0/flow/diameters/${d}/points/${p}`, { value: value!, unit })
    })
  })
  power.timings.forEach(({ revolutions, elapsed }, i) => {
    add(`N${i}`, `/runs/0/power/timings/${i}/revolutions`, revolutions)
    add(`t${i}`, `/runs/0/power/timings/${i}/elapsed`, elapsed)
  })
  sounded(run.pumpingLevel).series?.forEach((level, i) => {
    add(`y${i}`, `/runs/0/pumpingLevel/series/${i}`, level)
  })
  add('rate', '/economics/energyRate', sheet.economics?.energyRate)
  return readings
}

/** Terms of the same form for each end of a name, added up. */
const sumOf = (ends: readonly string[], term: (end: string) => string): string => `(${ends.map(term).join(' + ')})`

/** Name and expression of each step; `points`, `timings` and `levels` are the ends of the names of their readings. */
const stepsFor = (
  points: readonly string[],
  timings: readonly string[],
  levels: readonly string[],
): (readonly [string, string])[] => [
  ['t', 'number(temperature, degC)'],
  [
    'rho',
    '(999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))) / (1 + 16.87985e-3 * t) * kilogramPerCubicMetre',
  ],
  ['p', 'shown - zero'],
  ['k', '1 - (atmosphere + p) / (gasConstant * airTemperature) / rho'],
  ['D', 'sqrt(d1 * d2)'],
  ['A', 'pi * D^2 / 4'],
  ...points.map((end) => [`v${end}`, `C * sqrt(2 * g * h${end} * k)`] as const),
  ['vm', `(${points.map((end) => `v${end}`).join(' + ')}) / ${points.length}`],
  ['Q', 'vm * A'],
  ...timings.map((end) => [`P${end}`, `Kh * N${end} * M / t${end}`] as const),
  ['Pin', `(${timings.map((end) => `P${end}`).join(' + ')}) / ${timings.length}`],
  ['spread', ((list: string) => `(max(${list}) - min(${list})) / Pin`)(timings.map((end) => `P${end}`).join(', '))],
  ['load', 'Pin * motorEfficiency / ratedPower'],
  ['L', 'hp + zd'],
  ['s', 'hp - hs'],
  ['hg', 'p / (rho * g) + zg'],
  ['v', 'Q / A'],
  ['hv', 'v^2 / (2 * g)'],
  ['Hf', 'L + hg'],
  ['H', 'Hf + hv'],
  ['S', 'Q / s'],
  ['Pw', 'rho * g * Q * H'],
  ['eta', 'Pw / Pin'],
  ['etaField', 'rho * g * Q * Hf / Pin'],
  ['eMin', 'rho * g'],
  ['e', 'Pin / Q'],
  ['eH', 'e / H'],
  ['c', 'e * rate'],
  ['Pm', 'Pin * motorEfficiency'],
  ['xm', `${sumOf(levels, (end) => `x${end}`)} / ${levels.length}`],
  ['ym', `${sumOf(levels, (end) => `y${end}`)} / ${levels.length}`],
  [
    'fall',
    `${sumOf(levels, (end) => `(x${end} - xm) * (y${end} - ym)`)} / ${sumOf(levels, (end) => `(x${end} - xm)^2`)}`,
  ],
  // Saturation pressure by IAPWS R7-97, equation 30.
  ['theta', 't + 273.15 - 0.23855557567849 / (t + 273.15 - 650.17534844798)'],
  ['ifA', 'theta^2 + 1167.0521452767 * theta - 724213.16703206'],
  ['ifB', '-17.073846940092 * theta^2 + 12020.82470247 * theta - 3232555.0322333'],
  ['ifC', '14.91510861353 * theta^2 - 4823.2657361591 * theta + 405113.40542057'],
  ['pv', '(2 * ifC / (-ifB + sqrt(ifB^2 - 4 * ifA * ifC)))^4 * megapascal'],
  ['npsh', '(air - pv) / (rho * g) + bowlDepth - hp'],
]

/** Which step is which quantity, and its SI unit in the library's spelling; empty for a ratio. */
const QUANTITIES: readonly (readonly [QuantityId, step: string, unit: string])[] = [
  ['water-density', 'rho', 'kg/m^3'],
  ['standing-water-level', 'hs', 'm'],
  ['pumping-water-level', 'hp', 'm'],
  ['lift', 'L', 'm'],
  ['drawdown', 's', 'm'],
  ['gauge-head', 'hg', 'm'],
  ['flow', 'Q', 'm^3/s'],
  ['input-power', 'Pin', 'W'],
  ['timing-spread', 'spread', ''],
  ['motor-load', 'load', ''],
  ['field-head', 'Hf', 'm'],
  ['pipe-velocity', 'v', 'm/s'],
  ['velocity-head', 'hv', 'm'],
  ['total-dynamic-head', 'H', 'm'],
  ['specific-capacity', 'S', 'm^2/s'],
  ['water-power', 'Pw', 'W'],
  ['overall-plant-efficiency', 'eta', ''],
  ['water-work-per-energy', 'eta', ''],
  ['overall-plant-efficiency-on-field-head', 'etaField', ''],
  ['least-energy-per-volume-and-head', 'eMin', 'N/m^3'],
  ['energy-per-volume', 'e', 'J/m^3'],
  ['energy-per-volume-and-head', 'eH', 'N/m^3'],
  ['cost-per-volume', 'c', 'USD/m^3'],
  ['motor-output-power', 'Pm', 'W'],
  ['pumping-level-trend', 'fall', 'm/s'],
  ['npsh-available', 'npsh', 'm'],
]
/** Units of the answers, made once: to parse them for every answer would be slower. */
const ANSWERS = QUANTITIES.map(([id, step, unit]) => ({ id, step, unit: unit === '' ? undefined : math.unit(unit) }))

/** `toNumber` takes a unit as well as a text; its types know the text only. */
const numberIn = (value: Value, unit: Unit | undefined): number =>
  typeof value === 'number' ? value : value.toNumber(unit as unknown as string)

/** Size of the change of a reading, relative; a reading of zero is changed by this much of one unit. */
const STEP = 1e-6

export interface LibraryChain {
  /** All quantities in SI, from the readings. */
  values(): number[]
  /** For each reading the change of each quantity in SI for one unit as read, by central differences. */
  sensitivities(): number[][]
  readonly quantities: readonly QuantityId[]
  /** JSON Pointers of the readings, in the order of `sensitivities`. */
  readonly places: readonly string[]
}

/** Times of the levels of the series since the first, by name. */
function secondsOfSeries(sheet: Sheet): [string, Value][] {
  const times = (sounded(sheet.runs[0]!.pumpingLevel).series ?? []).map(({ at }) => Date.parse(at!) / 1000)
  return times.map((seconds, i) => [`x${i}`, math.unit(seconds - times[0]!, 's')])
}

/** Everything that can be made before the first evaluation is made here. */
export function libraryChain(
  sheet: Sheet,
  plant: { efficiency: number; ratedPower: Reading; bowlDepth: Reading; barometricPressurePa: number },
): LibraryChain {
  const readings = readingsOf(sheet)
  const names = [...readings.keys()]
  const endsOf = (start: RegExp): string[] => names.filter((name) => start.test(name)).map((name) => name.slice(1))
  const steps = stepsFor(endsOf(/^h\d/), endsOf(/^N\d/), endsOf(/^y\d/)).map(([name, text]) => ({
    name,
    code: math.compile(text),
  }))
  const scope = new Map<string, unknown>([
    ['g', math.unit(9.80665, 'm/s^2')],
    ['atmosphere', math.unit(101325, 'Pa')],
    ['gasConstant', math.unit(287.05, 'J/(kg K)')],
    ['airTemperature', math.unit(288.15, 'K')],
    ['kilogramPerCubicMetre', math.unit(1, 'kg/m^3')],
    ['motorEfficiency', plant.efficiency],
    ['ratedPower', quantity(plant.ratedPower)],
    ['bowlDepth', quantity(plant.bowlDepth)],
    ['air', math.unit(plant.barometricPressurePa, 'Pa')],
    ['megapascal', math.unit(1, 'MPa')],
    ...secondsOfSeries(sheet),
  ])
  const changes = [...readings].map(([name, { reading }]) => {
    const step = reading.value === 0 ? STEP : Math.abs(reading.value) * STEP
    const changed = (by: number): Value => quantity({ value: reading.value + by, unit: reading.unit })
    scope.set(name, quantity(reading))
    return { name, step, as: quantity(reading), above: changed(step), below: changed(-step) }
  })
  const values = (): number[] => {
    for (const { name, code } of steps) scope.set(name, code.evaluate(scope))
    return ANSWERS.map(({ step, unit }) => numberIn(scope.get(step) as Value, unit))
  }
  return {
    values,
    sensitivities: () =>
      changes.map(({ name, step, as, above, below }) => {
        scope.set(name, above)
        const high = values()
        scope.set(name, below)
        const low = values()
        scope.set(name, as)
        return high.map((value, i) => (value - low[i]!) / (2 * step))
      }),
    quantities: ANSWERS.map(({ id }) => id),
    places: [...readings.values()].map(({ place }) => place),
  }
}
