/**
 * The trade's shortcut arithmetic beside the exact result, so that a tester can follow with a calculator.
 * It uses the constants people know: 3960 (gpm × ft per horsepower), 2.31 ft per psi, 64.4 = 2 g, 0.7457 kW per horsepower.
 * Its head is of the same definition as the exact one; the two agree within 0.15 %.
 */
import type { HandCheck } from './evaluation.ts'
import type { GaugeReadings } from './gauge.ts'
import { fromSi, toSi } from './units.ts'
import type { Quantities, Visit } from './visit.ts'

const WATER_HORSEPOWER = 3960
const FEET_PER_PSI = 2.31
const TWICE_GRAVITY = 64.4
const KILOWATTS_PER_HORSEPOWER = 0.7457

/** As a calculator shows it. */
const show = (value: number): string => (Math.abs(value) < 99999.5 ? value.toPrecision(5) : value.toFixed(0))

interface Step {
  readonly expression: string
  readonly value: number
}

const NOTHING_GAINED: Step = { expression: 'left out', value: 0 }

/** Head of a gauge in ft: 2.31 ft for a psi, and the height of its centre. */
function columnByHand(readings: GaugeReadings | undefined): Step {
  const zero = readings?.gaugeZero === undefined ? 0 : toSi(readings.gaugeZero, 'pressure')
  const psi = readings === undefined ? 0 : fromSi(toSi(readings.reading, 'pressure') - zero, 'psi', 'pressure')
  const height = readings?.gaugeHeightAboveDischargeCentre
  const feet = height === undefined ? 0 : fromSi(toSi(height, 'length'), 'ft', 'length')
  return { expression: `${show(psi)} psi × 2.31 + ${show(feet)} ft`, value: psi * FEET_PER_PSI + feet }
}

/** What is added for the suction side, in ft: the lift. */
const liftByHand = (metres: number): Step & { readonly label: undefined } => ({
  label: undefined,
  expression: '',
  value: fromSi(metres, 'ft', 'length'),
})

/** What is added for the suction side, in ft: the suction head with its sign turned. */
function suctionByHand(readings: GaugeReadings): Step & { readonly label: string } {
  const { expression, value } = columnByHand(readings)
  return { label: 'Suction head', expression, value: -value }
}

/** Velocity head in ft, less that at the suction tap of a booster fed by a pipe. */
function velocityByHand(velocity: number, suctionSi: number | undefined): Step {
  const own = (velocity * velocity) / TWICE_GRAVITY
  if (suctionSi === undefined) return { expression: `(${show(velocity)} ft/s)² ÷ 64.4`, value: own }
  const suction = fromSi(suctionSi, 'ft', 'length')
  return { expression: `(${show(velocity)} ft/s)² ÷ 64.4 − ${show(suction)} ft`, value: own - suction }
}

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
  const headSi = value(edition.settings.velocityHead === 'include' ? 'total-dynamic-head' : 'field-head')
  const { dischargePressure, suction } = sheet.runs[run]!
  const between = suction?.method === 'gauge' ? suction : undefined
  if (flowSi === undefined || powerSi === undefined || headSi === undefined || velocitySi === undefined)
    return undefined
  if (liftSi === undefined && between === undefined) return undefined

  const discharge = columnByHand(dischargePressure)
  const below = between === undefined ? liftByHand(liftSi!) : suctionByHand(between)
  const velocity = fromSi(velocitySi, 'ft/s', 'velocity')
  const flow = fromSi(flowSi, 'gpm', 'flow')
  const kilowatts = powerSi / 1000

  const moving = edition.settings.velocityHead === 'include'
  const gained = moving ? velocityByHand(velocity, value('suction-velocity-head')) : NOTHING_GAINED
  const head = below.value + discharge.value + gained.value
  const waterHorsepower = (flow * head) / WATER_HORSEPOWER
  const inputHorsepower = kilowatts / KILOWATTS_PER_HORSEPOWER
  const efficiency = waterHorsepower / inputHorsepower
  const atExactHead = (flow * fromSi(headSi, 'ft', 'length')) / WATER_HORSEPOWER / fromSi(powerSi, 'hp', 'power')
  // An input of zero, or an overflow, is nothing to follow by hand.
  if (![head, waterHorsepower, inputHorsepower, efficiency, atExactHead].every(Number.isFinite)) return undefined
  return {
    run,
    steps: [
      { label: 'Gauge head', ...discharge, unit: 'ft' },
      ...(below.label === undefined
        ? []
        : [{ label: below.label, expression: below.expression, value: -below.value, unit: 'ft' }]),
      { label: 'Velocity head', ...gained, unit: 'ft' },
      {
        label: 'Total dynamic head',
        expression:
          below.label === undefined
            ? `${show(below.value)} + ${show(discharge.value)} + ${show(gained.value)} ft`
            : `${show(discharge.value)} − ${show(-below.value)} + ${show(gained.value)} ft`,
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
