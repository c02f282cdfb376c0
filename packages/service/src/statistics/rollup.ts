/**
 * What statistics take of a test, decided with the submission and written with it: the groups it falls in, and the
 * figures that its main quantities don't hold. A door: submissions ask here.
 */
import { type Context, fromSi, type Sheet, toSi } from '@liftledger/calc'

/** Figures of the run that stands for the usual condition which the main quantities don't hold. */
export interface FiguresBeside {
  readonly standingLevelM?: number
  /** Per cubic metre, in the currency of the sheet. */
  readonly costPerVolume?: number
}

/** Of the main quantities, what a year is reckoned from. */
interface Rates {
  readonly inputPowerW?: number
  readonly energyPerVolumeJM3?: number
}

export interface StatisticsPart extends FiguresBeside {
  /** driver|kind|region|power class|flow method|level method|power method|source of the weight|currency */
  readonly groups: string
  readonly annualEnergyJ?: number
  readonly annualVolumeM3?: number
}

/** Where something that makes a group is not on record. */
export const NOT_STATED = 'not-stated'

/** Lower ends of the classes of nameplate power, in horsepower. */
const POWER_CLASSES = [
  [250, '250-hp-and-more'],
  [125, '125-to-249-hp'],
  [75, '75-to-124-hp'],
  [50, '50-to-74-hp'],
  [25, '25-to-49-hp'],
  [0, 'below-25-hp'],
] as const

/** The class of a nameplate power in watts. Half a horsepower below an end counts as the end: nameplates are rounded. */
export function powerClass(watts: number | undefined): string {
  if (watts === undefined) return NOT_STATED
  const hp = Math.round(fromSi(watts, 'hp', 'power'))
  return POWER_CLASSES.find(([from]) => hp >= from)?.[1] ?? NOT_STATED
}

/** How the energy of a year is known: from bills, from hours, from the volume pumped, or not. */
export const WEIGHT_SOURCES = ['bills', 'hours', 'volume', 'none'] as const
export type WeightSource = (typeof WEIGHT_SOURCES)[number]

interface Year {
  readonly source: WeightSource
  readonly energyJ?: number
  readonly volumeM3?: number
}

/** Energy and water of a usual year, from what the sheet says and what was measured. */
function yearOf({ economics }: Sheet, { energyPerVolumeJM3: perVolume, inputPowerW: power }: Rates): Year {
  const said = economics?.annualVolume === undefined ? undefined : toSi(economics.annualVolume, 'volume')
  const energyOf = (): { readonly source: WeightSource; readonly energyJ?: number } => {
    if (economics?.annualEnergy !== undefined)
      return { source: 'bills', energyJ: toSi(economics.annualEnergy, 'energy') }
    if (economics?.annualHours !== undefined && power !== undefined)
      return { source: 'hours', energyJ: toSi(economics.annualHours, 'time') * power }
    if (said !== undefined && perVolume !== undefined) return { source: 'volume', energyJ: said * perVolume }
    return { source: 'none' }
  }
  const energy = energyOf()
  const volumeM3 =
    said ?? (energy.energyJ !== undefined && perVolume !== undefined ? energy.energyJ / perVolume : undefined)
  return { ...energy, ...(volumeM3 !== undefined && { volumeM3 }) }
}

const finite = <K extends string>(name: K, value: number | undefined): { [_ in K]?: number } =>
  value !== undefined && Number.isFinite(value) ? ({ [name]: value } as { [_ in K]: number }) : {}

/** Pure: sheet, context and figures decide. */
export function statisticsPart(sheet: Sheet, context: Context, rates: Rates, beside: FiguresBeside): StatisticsPart {
  const run = sheet.runs[sheet.normalRun ?? 0]
  const { equipment, kind, region } = context.plant
  const year = yearOf(sheet, rates)
  const groups = [
    equipment?.driver ?? NOT_STATED,
    kind,
    region ?? NOT_STATED,
    powerClass(equipment?.ratedPower === undefined ? undefined : toSi(equipment.ratedPower, 'power')),
    run?.flow?.method ?? NOT_STATED,
    (run?.pumpingLevel ?? sheet.standingLevel)?.method ?? NOT_STATED,
    run?.power?.method ?? NOT_STATED,
    year.source,
    sheet.economics?.energyRate?.unit.slice(0, 3) ?? NOT_STATED,
  ].join('|')
  return {
    groups,
    ...beside,
    ...finite('annualEnergyJ', year.energyJ),
    ...finite('annualVolumeM3', year.volumeM3),
  }
}
