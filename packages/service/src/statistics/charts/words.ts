/** Groups, values and units in words. */
import type { MeasureId } from '../measures.ts'
import type { StatisticsGroup } from '../schemas.ts'

interface Reading {
  readonly title: string
  readonly unit: string
  /** From SI. */
  readonly per: number
}

/** In units that people read. */
export const READINGS: Readonly<Record<MeasureId, Reading>> = {
  'overall-plant-efficiency': { title: 'Overall plant efficiency', unit: '%', per: 0.01 },
  flow: { title: 'Flow', unit: 'L/s', per: 1e-3 },
  'total-dynamic-head': { title: 'Total dynamic head', unit: 'm', per: 1 },
  lift: { title: 'Lift', unit: 'm', per: 1 },
  'specific-capacity': { title: 'Specific capacity', unit: '(L/s)/m', per: 1e-3 },
  'standing-water-level': { title: 'Standing water level', unit: 'm', per: 1 },
  'input-power': { title: 'Input power', unit: 'kW', per: 1e3 },
  'energy-per-volume': { title: 'Energy per volume of water', unit: 'kWh/1000 m³', per: 3.6e3 },
  'cost-per-volume': { title: 'Energy cost per volume of water', unit: 'currency/1000 m³', per: 1e-3 },
}

/** Three significant digits at most, without a tail of zeros. */
export const told = (value: number): string => String(Number(value.toPrecision(3))).replace(/^-/, '−')

/** Costs are in the currency of the tests: one, or no mean is told. */
export const unitOf = ({ unit }: Reading, groups: readonly Pick<StatisticsGroup, 'currency'>[]): string => {
  const [currency, ...others] = new Set(groups.map((group) => group.currency))
  return currency === undefined || others.length > 0 ? unit : unit.replace('currency', currency)
}

export const groupWords = (group: StatisticsGroup['group'], without: readonly string[] = []): string =>
  Object.entries(group)
    .filter(([name]) => !without.includes(name))
    .map(([, value]) => String(value).replaceAll('-', ' '))
    .join(', ')

export const counted = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`

export const NOT_A_SAMPLE = 'Tested plants are not a random sample of all plants.'
