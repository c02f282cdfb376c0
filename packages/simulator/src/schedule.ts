/** Who visits which plant when: once a year in the season, and before and after a repair. */
import type { SimulatedBasin, SimulatedFirm, SimulatedTester } from './basin.ts'
import type { SimulatedPlant } from './plant.ts'
import { Random } from './random.ts'
import { DAYS_OF_YEAR, dayOf } from './reading.ts'

export interface Appointment {
  readonly plant: SimulatedPlant
  readonly firm: SimulatedFirm
  readonly tester: SimulatedTester
  /** Counted from 1970-01-01. */
  readonly day: number
  readonly occasion: 'yearly' | 'before-repair' | 'after-repair' | 'quality-visit'
}

const SEASON = [75, 295] as const
const AWAY_FROM_REPAIR = 45

/** All appointments of the years, by date. */
export function drawSchedule(basin: SimulatedBasin): Appointment[] {
  const { options } = basin
  const firms = new Map(basin.firms.map((firm) => [firm.code, firm]))
  const appointments: Appointment[] = []
  for (const plant of basin.plants) {
    const random = new Random(`schedule/${options.seed}/${plant.code}`)
    const repairs = plant.repairs.map(dayOf)
    const meet = (day: number, occasion: Appointment['occasion']): void => {
      const firm = firms.get(random.happens(0.85) ? plant.firms[0]! : random.pick(plant.firms))!
      appointments.push({ plant, firm, tester: random.pick(firm.testers), day, occasion })
    }
    for (let year = 0; year < options.years; year++) {
      const day = plant.truth.firstDay + Math.round(year * DAYS_OF_YEAR) + random.whole(...SEASON)
      // Within weeks of a repair the visits of the repair stand for that of the year.
      if (repairs.every((repair) => Math.abs(repair - day) > AWAY_FROM_REPAIR)) meet(day, 'yearly')
    }
    for (const repair of repairs) {
      meet(repair - random.whole(5, 35), 'before-repair')
      meet(repair + random.whole(3, 30), 'after-repair')
    }
  }
  // The same day: by plant, so that the order is the same on every engine.
  return appointments.sort((a, b) => a.day - b.day || (a.plant.code < b.plant.code ? -1 : 1))
}
