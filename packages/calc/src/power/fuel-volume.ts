/** Power that goes into an engine: the volume of fuel it takes in a time, at base conditions, times its heating value. */
import { type Static, Type } from 'typebox'
import { FUELS } from '../editions/edition.ts'
import type { AnyFormula } from '../formula.ts'
import { fuelPower } from '../formulas/fuel-power.ts'
import { fuelRate } from '../formulas/fuel-rate.ts'
import { gasAtBase } from '../formulas/gas-at-base.ts'
import { liquidFuelAtBase } from '../formulas/liquid-fuel-at-base.ts'
import type { Node } from '../graph.ts'
import { positiveReading, reading } from '../readings.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'

const VOLUME = leafKind('Volume of fuel', 'volume')
const ELAPSED = leafKind('Time in which the fuel was used', 'time')
const HEATING_VALUE = leafKind('Higher heating value', 'heating-value')
const EXPANSION = leafKind('Thermal expansion of the fuel', 'thermal-expansion')
const TEMPERATURE = leafKind('Temperature of the fuel', 'temperature')
const GAS_PRESSURE = leafKind('Gauge pressure at the gas meter', 'pressure')
const BAROMETRIC = leafKind('Pressure of the air', 'pressure')

const schema = Type.Object(
  {
    method: Type.Literal('fuel-volume', { description: 'Volume of fuel that an engine takes, timed.' }),
    fuel: Type.Enum([...FUELS], { description: 'Fuel of the engine; propane is measured as a liquid.' }),
    volume: positiveReading('volume', 'Volume used: by a graduated vessel, a fuel meter, or the index of a gas meter.'),
    elapsed: positiveReading('time', 'Time in which it was used, the engine running as tested.'),
    heatingValue: Type.Optional(
      positiveReading('heating-value', 'Higher heating value by the supplier, at 60 °F; of gas, at 14.73 psi as well.'),
    ),
    fuelTemperature: Type.Optional(
      reading('temperature', 'Temperature of a liquid fuel where its volume was measured.'),
    ),
    gasPressure: Type.Optional(reading('pressure', 'Gauge pressure at the gas meter.')),
    barometricPressure: Type.Optional(positiveReading('pressure', 'Pressure of the air at the plant, absolute.')),
    gasTemperature: Type.Optional(reading('temperature', 'Temperature of the gas at the meter.')),
    meterCorrects: Type.Optional(
      Type.Boolean({ description: 'True if the index of the gas meter counts at base conditions by itself.' }),
    ),
  },
  { title: 'FuelVolume', description: 'Input power of an engine by its fuel.', additionalProperties: false },
)
export type FuelVolume = Static<typeof schema>

/** A liquid at 60 °F, corrected where its temperature was read. */
function liquid(volume: Node, readings: FuelVolume, place: string, around: Surroundings): Node {
  const { graph, edition } = around
  const { fuelTemperature } = readings
  const { expansion } = edition.fuels[readings.fuel]
  if (fuelTemperature === undefined || expansion === undefined) {
    widen(around, 'fuel-temperature-not-read', 'measure', place, place, volume, graph.values[volume]!)
    return volume
  }
  const at = `${place}/fuelTemperature`
  const temperature = graph.leaf(TEMPERATURE, at, fuelTemperature)
  widen(around, 'fuel-temperature', 'certify', at, at, temperature, 1)
  return graph.apply(liquidFuelAtBase, {
    volume,
    expansion: graph.leaf(EXPANSION, `edition/expansion-of-${readings.fuel}`, { value: expansion.value, unit: '1/K' }),
    temperature,
  })
}

/** Gas at base conditions; undefined where neither the meter corrects nor pressure and temperature were read. */
function gas(volume: Node, readings: FuelVolume, place: string, around: Surroundings): Node | undefined {
  if (readings.meterCorrects === true) return volume
  const { gasPressure, gasTemperature, barometricPressure } = readings
  if (gasPressure === undefined || gasTemperature === undefined) return undefined
  const { graph, edition } = around
  const act = (name: Parameters<typeof widen>[1], at: string, node: Node): Node => {
    widen(around, name, 'certify', at, at, node, 1)
    return node
  }
  const [pressureAt, temperatureAt] = [`${place}/gasPressure`, `${place}/gasTemperature`]
  const airAt =
    barometricPressure === undefined ? 'edition/barometric-pressure-not-read' : `${place}/barometricPressure`
  const air = barometricPressure ?? { value: edition.settings.barometricPressureNotReadPa, unit: 'Pa' }
  return graph.apply(gasAtBase, {
    volume,
    gaugePressure: act('gas-pressure', pressureAt, graph.leaf(GAS_PRESSURE, pressureAt, gasPressure)),
    barometricPressure: act(
      barometricPressure === undefined ? 'barometric-pressure-not-read' : 'barometric-pressure',
      airAt,
      graph.leaf(BAROMETRIC, airAt, air),
    ),
    temperature: act('gas-temperature', temperatureAt, graph.leaf(TEMPERATURE, temperatureAt, gasTemperature)),
  })
}

function heatingValueOf(readings: FuelVolume, place: string, around: Surroundings): Node {
  const { graph, edition, facts } = around
  const usual = edition.fuels[readings.fuel].heatingValue
  const given = readings.heatingValue
  const at = given === undefined ? `edition/heating-value-of-${readings.fuel}` : `${place}/heatingValue`
  const node = graph.leaf(HEATING_VALUE, at, given ?? usual)
  const name = given === undefined ? 'heating-value-assumed' : 'heating-value-given'
  widen(around, name, 'measure', at, at, node, graph.values[node]!)
  facts.heatingValueAssumed = given === undefined
  facts.heatingValue = graph.values[node]!
  facts.usualHeatingValue = toSi(usual, 'heating-value')
  return node
}

function measure(readings: FuelVolume, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts, edition } = around
  const isGas = readings.fuel === 'natural-gas'
  const { title } = edition.fuels[readings.fuel]
  facts.fuel = title
  facts.fuelDuration = toSi(readings.elapsed, 'time')
  if (isGas)
    facts.gasAtBase =
      readings.meterCorrects === true || (readings.gasPressure !== undefined && readings.gasTemperature !== undefined)
  const at = `${place}/volume`
  const metered = graph.leaf(VOLUME, at, readings.volume)
  widen(around, isGas ? 'gas-volume' : 'fuel-volume', 'better-instrument', at, at, metered, graph.values[metered]!)
  const volume = isGas ? gas(metered, readings, place, around) : liquid(metered, readings, place, around)
  const heatingValue = heatingValueOf(readings, place, around)
  if (volume === undefined) return NO_POWER
  const timeAt = `${place}/elapsed`
  const elapsed = graph.leaf(ELAPSED, timeAt, readings.elapsed)
  widen(around, 'timing-reaction', 'repeat', timeAt, timeAt, elapsed, 1)
  const rate = graph.apply(fuelRate, { volume, elapsed })
  return {
    power: graph.apply(fuelPower, { rate, heatingValue }),
    spread: undefined,
    fuel: { rate, isGas },
  }
}

export const fuelVolume = definePowerMethod({
  id: 'fuel-volume',
  title: 'Fuel of an engine, timed',
  schema,
  formulas: [liquidFuelAtBase, gasAtBase, fuelRate, fuelPower] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'fuel used in a time times its heating value',
    basis: 'common practice',
  },
  cautions: ['engine', 'fuel', 'rotating-shaft', 'noise-and-eyes'],
  measure,
})
