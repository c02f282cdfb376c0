/** Percentile bands by year: the middle half, the middle four fifths, the median with its interval. */
import { scaleLinear, scalePoint } from 'd3-scale'
import { area, line as path } from 'd3-shape'
import type { MeasureId } from '../measures.ts'
import type { StatisticsGroup } from '../schemas.ts'
import { type Drawing, heading, line, type Panel, page, round, text, valueAxis } from './frame.ts'
import { groupWords, NOT_A_SAMPLE, READINGS, told, unitOf } from './words.ts'

const PLOT = 200
const TOP = 46
const BOTTOM = 52
const LEFT = 52
const RIGHT = 22
/** Of fewer tests the 10th percentile is but the smallest value. */
const TESTS_FOR_BANDS = 10
/** Width of a year's band that has no neighbour, in pixels. */
const LONE = 8

interface Year {
  readonly year: string
  readonly tests: number
  readonly at: (percent: number) => { readonly value: number; readonly low?: number; readonly high?: number }
}

export function bandsChart(
  groups: readonly StatisticsGroup[],
  measure: MeasureId,
  notes: readonly string[],
  drawing: Drawing,
): string {
  const { title, per } = READINGS[measure]
  const unit = `${title}, ${unitOf(READINGS[measure], groups)}`
  const apart = Map.groupBy(groups, ({ group }) => groupWords(group, ['year']))
  const high = Math.max(
    ...groups.flatMap(({ percentiles }) => percentiles.map(({ value, high }) => (high ?? value) / per)),
  )
  const years = [...new Set(groups.map(({ group }) => group.year!))].sort()
  const panels = [...apart].map(([name, own]) =>
    panelOf(
      name,
      own.map((group) => yearOf(group, per)).sort((a, b) => (a.year < b.year ? -1 : 1)),
      { years, high, unit, width: drawing.width },
    ),
  )
  return page(
    drawing,
    `${title} by year`,
    [...apart]
      .map(([name, own]) => `${name}: ${own.map(({ group, tests }) => `${group.year} ${tests} tests`).join(', ')}`)
      .join('; '),
    panels,
    [
      ...notes,
      `Line: median, with its 95 % interval. Dark band: 25th to 75th percentile; light band: 10th to 90th, of years with ${TESTS_FOR_BANDS} tests or more. Below each year: tests.`,
      NOT_A_SAMPLE,
    ],
  )
}

function yearOf({ group, tests, percentiles }: StatisticsGroup, per: number): Year {
  const at: Year['at'] = (percent) => {
    const { value, low, high } = percentiles.find((one) => one.percent === percent)!
    return {
      value: value / per,
      ...(low !== undefined && { low: low / per }),
      ...(high !== undefined && { high: high / per }),
    }
  }
  return { year: group.year!, tests, at }
}

function panelOf(
  name: string,
  own: readonly Year[],
  {
    years,
    high,
    unit,
    width,
  }: { readonly years: readonly string[]; readonly high: number; readonly unit: string; readonly width: number },
): Panel {
  const head = heading(name, '', width)
  const top = TOP + head.more
  const x = scalePoint(years, [LEFT + 12, width - RIGHT])
  const y = scaleLinear([0, high], [top + PLOT, top]).nice()
  const at = ({ year }: Year): number => x(year)!
  const isBanded = ({ tests }: Year): boolean => tests >= TESTS_FOR_BANDS
  const band = (from: number, to: number, kind: string): string => {
    const [low, high] = [(one: Year) => y(one.at(from).value), (one: Year) => y(one.at(to).value)]
    const lone = own.filter(isBanded).map((one) => {
      const height = round(low(one) - high(one))
      return `<rect x="${round(at(one) - LONE / 2)}" y="${round(high(one))}" width="${LONE}" height="${height}" class="${kind}"/>`
    })
    return `<path d="${area<Year>(at, low, high).defined(isBanded)([...own]) ?? ''}" class="${kind}"/>${lone.join('')}`
  }
  const median = path<Year>(at, (one) => y(one.at(50).value))([...own]) ?? ''
  const every = Math.max(1, Math.ceil((years.length * 38) / (width - LEFT - RIGHT)))
  const zero = y(0)
  return {
    svg: [
      head.svg,
      valueAxis(y, [LEFT, width - RIGHT], unit, told),
      band(10, 90, 'wide'),
      band(25, 75, 'band'),
      `<path d="${median}" class="line"/>`,
      ...own.map((one) => {
        const { value, low, high: top } = one.at(50)
        const interval =
          low === undefined || top === undefined ? '' : line([at(one), y(low)], [at(one), y(top)], 'interval')
        return `${interval}<circle cx="${round(at(one))}" cy="${round(y(value))}" r="3" class="dot"/>`
      }),
      line([LEFT, zero], [width - RIGHT, zero], 'axis'),
      ...years.flatMap((year, n) => {
        if (n % every !== 0) return []
        const tests = own.find((one) => one.year === year)?.tests ?? 0
        return [text(x(year)!, zero + 16, year, 'soft middle'), text(x(year)!, zero + 31, `${tests}`, 'soft middle')]
      }),
      text(12, zero + 31, 'tests', 'soft'),
    ].join(''),
    height: top + PLOT + BOTTOM,
  }
}
