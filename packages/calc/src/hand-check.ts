/**
 * The trade's shortcut arithmetic beside the exact result, so that a tester can follow with a calculator.
 * It uses the constants people know: 3960 (gpm × ft per horsepower), 2.31 ft per psi, 64.4 = 2 g, 0.7457 kW per horsepower.
 * Its head is of the same definition as the exact one; the two agree within 0.15 %.
 */
import type { HandCheck } from './evaluation.ts'
import { fromSi, toSi } from './units.ts'
import type { Quantities, Visit } from './visit.ts'

const WATER_HORSEPOWER = 3960
const FEET_PER_PSI = 2.31
const TWICE_GRAVITY = 64.4
const KILOWATTS_PER_HORSEPOWER = 0.7457

/** As a calculator shows it. */
const show = (value: number): string => (Math.abs(value) < 99999.5 ? value.toPrecision(5) : value.toFixed(0))

/** The steps in US customary units, whatever was read; absent where an efficiency can't be computed. */
export function handCheck(run: number, visit: Visit, quantities: Quantities): HandCheck | undefined {
  const { graph, sheet, edition } = visit
  const value = (id: Parameters<Quantities['get']>[0]): number | undefined => {
    const node = quantities.get(id)
    return node === undefined ? undefined : graph.values[node]!
  }
  const flowSi = value('flow')
  const liftSi = value('lift')
  const powerSi = value('input-power')
  const velocitySi = value('pipe-velocity')
  const totalSi = value('total-dynamic-head')
  const fieldSi = value('field-head')
  const headSi = edition.settings.velocityHead === 'include' ? totalSi : fieldSi
  if (flowSi === undefined || liftSi === undefined || powerSi === undefined || headSi === undefined) return undefined
  if (velocitySi === undefined) return undefined

  const pressureReading = sheet.runs[run]!.dischargePressure
  const psi = pressureReading === undefined ? 0 : fromSi(pressureOf(pressureReading), 'psi', 'pressure')
  const height = pressureReading?.gaugeHeightAboveDischargeCentre
  const gaugeHeight = height === undefined ? 0 : fromSi(toSi(height, 'length'), 'ft', 'length')
  const lift = fromSi(liftSi, 'ft', 'length')
  const velocity = fromSi(velocitySi, 'ft/s', 'velocity')
  const flow = fromSi(flowSi, 'gpm', 'flow')
  const kilowatts = powerSi / 1000

  const gaugeHead = psi * FEET_PER_PSI + gaugeHeight
  const velocityHead = edition.settings.velocityHead === 'include' ? (velocity * velocity) / TWICE_GRAVITY : 0
  const head = lift + gaugeHead + velocityHead
  const waterHorsepower = (flow * head) / WATER_HORSEPOWER
  const inputHorsepower = kilowatts / KILOWATTS_PER_HORSEPOWER
  const efficiency = waterHorsepower / inputHorsepower
  const atExactHead = (flow * fromSi(headSi, 'ft', 'length')) / WATER_HORSEPOWER / fromSi(powerSi, 'hp', 'power')
  // An input of zero, or an overflow, is nothing to follow by hand.
  if (![head, waterHorsepower, inputHorsepower, efficiency, atExactHead].every(Number.isFinite)) return undefined
  return {
    run,
    steps: [
      {
        label: 'Gauge head',
        expression: `${show(psi)} psi × 2.31 + ${show(gaugeHeight)} ft`,
        value: gaugeHead,
        unit: 'ft',
      },
      { label: 'Velocity head', expression: `(${show(velocity)} ft/s)² ÷ 64.4`, value: velocityHead, unit: 'ft' },
      {
        label: 'Total dynamic head',
        expression: `${show(lift)} + ${show(gaugeHead)} + ${show(velocityHead)} ft`,
        value: head,
        unit: 'ft',
      },
      {
        label: 'Water horsepower',
        expression: `${show(flow)} gpm × ${show(head)} ft ÷ 3960`,
        value: waterHorsepower,
        unit: 'hp',
      },
      { label: 'Input horsepower', expression: `${show(kilowatts)} kW ÷ 0.7457`, value: inputHorsepower, unit: 'hp' },
      {
        label: 'Overall plant efficiency',
        expression: `${show(waterHorsepower)} ÷ ${show(inputHorsepower)}`,
        value: efficiency,
        unit: '1',
      },
    ],
    overallPlantEfficiency: efficiency,
    atExactHead,
  }
}

function pressureOf(readings: NonNullable<Visit['sheet']['runs'][number]['dischargePressure']>): number {
  const zero = readings.gaugeZero === undefined ? 0 : toSi(readings.gaugeZero, 'pressure')
  return toSi(readings.reading, 'pressure') - zero
}
