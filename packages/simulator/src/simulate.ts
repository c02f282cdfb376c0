/** Basin and visits, from a seed. */
import type { Context, Sheet } from '@liftledger/calc'
import { type BasinOptions, drawBasin, type SimulatedBasin, type SimulatedFirm, type SimulatedTester } from './basin.ts'
import type { FlowMethod } from './flow-readings.ts'
import { makeMistake } from './mistakes.ts'
import { runOn, type SimulatedPlant } from './plant.ts'
import type { PowerMethod } from './power-readings.ts'
import { Random } from './random.ts'
import { dateOf } from './reading.ts'
import { type Appointment, drawSchedule } from './schedule.ts'
import { contextOf, writeSheet } from './sheet.ts'

/** What was so on the day, whatever was written down. SI. */
export interface Truth {
  /** m³/s. */
  readonly flow: number
  /** m, velocity head included. */
  readonly totalHead: number
  /** W at the supply. */
  readonly inputPower: number
  readonly waterPower: number
  /** A ratio. */
  readonly overallEfficiency: number
  /** Depths in m below the datum; absent for a booster. */
  readonly standingLevel?: number
  readonly pumpingLevel?: number
  /** 0 when new. */
  readonly wear: number
  readonly motorLoad: number
}

export interface SimulatedVisit {
  /** Names the visit within the basin: plant, date, and whether it was another’s test again. */
  readonly id: string
  readonly occasion: Appointment['occasion']
  readonly firm: SimulatedFirm
  readonly tester: SimulatedTester
  readonly plant: SimulatedPlant
  readonly testedOn: string
  readonly sheet: Sheet
  /** Records as a registry that holds this basin hands them out. */
  readonly context: Context
  readonly flowMethod: FlowMethod
  readonly powerMethod: PowerMethod
  readonly truth: Truth
  /** Ids of the mistakes that were made; empty for an honest sheet. */
  readonly mistakes: readonly string[]
}

/** One visit. It depends on seed, plant, date, tester and occasion alone: not on what was drawn before. */
export function simulateVisit(basin: SimulatedBasin, appointment: Appointment): SimulatedVisit {
  const { plant, tester, firm, day, occasion } = appointment
  const testedOn = dateOf(day)
  const id = `${plant.code}/${testedOn}/${firm.code}/${tester.code}/${occasion}`
  const random = new Random(`visit/${basin.options.seed}/${id}`)
  const region = basin.regions.find(({ code }) => code === plant.region)!
  const { point, standing, density, wear } = runOn(plant, region, day)
  const { sheet, flowMethod, powerMethod } = writeSheet(random.of('sheet'), {
    plant,
    tester,
    day,
    testedOn,
    point,
    standing,
    density,
  })
  const clumsy = random.of('mistake')
  const mistakes = clumsy.happens(basin.options.mistakes) ? [makeMistake(clumsy, sheet)] : []
  return {
    id,
    occasion,
    firm,
    tester,
    plant,
    testedOn,
    sheet,
    context: contextOf(sheet, plant, tester),
    flowMethod,
    powerMethod,
    truth: {
      flow: point.flow,
      totalHead: point.totalHead,
      inputPower: point.inputPower,
      waterPower: point.waterPower,
      overallEfficiency: point.overallEfficiency,
      ...(plant.kind === 'well' && { standingLevel: standing, pumpingLevel: standing + point.drawdown }),
      wear,
      motorLoad: point.motorLoad,
    },
    mistakes,
  }
}

/**
 * An invented basin and its visits by date. Sheets are written as they are asked for, so a million of them need no
 * more room than one; asked again, the same come.
 *
 * @throws RangeError where an option is out of its span
 */
export function simulateBasin(options: BasinOptions): {
  readonly basin: SimulatedBasin
  readonly appointments: readonly Appointment[]
  readonly visits: Iterable<SimulatedVisit>
} {
  const basin = drawBasin(options)
  const appointments = drawSchedule(basin)
  return {
    basin,
    appointments,
    visits: {
      *[Symbol.iterator]() {
        for (const appointment of appointments) yield simulateVisit(basin, appointment)
      },
    },
  }
}
