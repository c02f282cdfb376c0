/** Two trends side by side: all plants tested in each year, and the changes of the same plants added up. */
import { scaleLinear, scalePoint } from 'd3-scale'
import { line as path } from 'd3-shape'
import type { TrendGroup } from '../schemas.ts'
import { type Drawing, heading, line, type Panel, page, round, text, valueAxis } from './frame.ts'
import { groupWords, NOT_A_SAMPLE, told } from './words.ts'

const PLOT = 170
const TOP = 58
const BOTTOM = 54
const LEFT = 52
const RIGHT = 22
const PERCENT = 100
const FEW = 10

interface Point {
  readonly year: string
  readonly value: number
  readonly low: number | undefined
  readonly high: number | undefined
  readonly count: number
}

export function panelTrendChart(items: readonly TrendGroup[], notes: readonly string[], drawing: Drawing): string {
  const panels = items.flatMap((item) => [allTested(item, drawing.width), panel(item, drawing.width)])
  return page(
    drawing,
    'Overall plant efficiency: all tested plants, and the same plants from year to year',
    items
      .map(
        ({ group, allTested: all, panel: same }) =>
          `${groupWords(group)}: ${all.length} years, ${same.length} changes of the same plants`,
      )
      .join('; '),
    panels,
    [
      ...notes,
      `Bars at the points: 95 % intervals over plants; of fewer than ${FEW} they may go beyond the frame. What all tested plants show changes also with who comes to be tested; the same plants are the honest trend.`,
      NOT_A_SAMPLE,
    ],
  )
}

const times = (value: number | undefined): number | undefined => (value === undefined ? undefined : value * PERCENT)

function allTested({ group, allTested: years }: TrendGroup, width: number): Panel {
  const points = years.map(({ year, mean, low, high, tests }) => ({
    year: String(year),
    value: mean * PERCENT,
    low: times(low),
    high: times(high),
    count: tests,
  }))
  return plot(groupWords(group), 'All tested plants: mean', 'Overall plant efficiency, %', 'tests', points, {
    width,
    kinds: ['line', 'dot', 'interval'],
    fromZero: true,
  })
}

function panel({ group, panel: changes }: TrendGroup, width: number): Panel {
  const points = changes.map(({ year, meanChange, low, high, plants }) => ({
    year: String(year),
    value: meanChange * PERCENT,
    low: times(low),
    high: times(high),
    count: plants,
  }))
  return plot(
    groupWords(group),
    'The same plants: mean change from the year before',
    'Change, percentage points',
    'plants',
    points,
    {
      width,
      kinds: ['second', 'dot2', 'interval2'],
      fromZero: false,
    },
  )
}

interface Style {
  readonly width: number
  readonly kinds: readonly [line: string, dot: string, interval: string]
  /** Whether heights are compared with nothing, or changes with no change. */
  readonly fromZero: boolean
}

function plot(name: string, what: string, unit: string, counts: string, points: readonly Point[], style: Style): Panel {
  const { width, kinds, fromZero } = style
  if (points.length === 0) {
    const { svg, more } = heading(name, `${what}: no plant has two years.`, width)
    return { svg, height: 44 + more }
  }
  const head = heading(name, what, width)
  const top = TOP + head.more
  // The interval of a mean of few plants may be wider than anything that is compared here: it goes beyond the frame.
  const ends = points.flatMap(({ value, low, high, count }) =>
    count < FEW ? [value] : [value, low ?? value, high ?? value],
  )
  const x = scalePoint(
    points.map(({ year }) => year),
    [LEFT + 16, width - RIGHT],
  )
  const y = scaleLinear([fromZero ? 0 : Math.min(0, ...ends), Math.max(0, ...ends)], [top + PLOT, top]).nice()
  const at = ({ year }: Point): number => x(year)!
  const every = Math.max(1, Math.ceil((points.length * 38) / (width - LEFT - RIGHT)))
  const foot = top + PLOT
  return {
    svg: [
      head.svg,
      valueAxis(y, [LEFT, width - RIGHT], unit, told),
      line([LEFT, y(0)], [width - RIGHT, y(0)], 'axis'),
      `<path d="${path<Point>(at, ({ value }) => y(value))([...points]) ?? ''}" class="${kinds[0]}"/>`,
      ...points.map((point) => {
        const { value, low, high } = point
        const [from, to] = [low, high].map((end) => end !== undefined && Math.min(foot, Math.max(top, y(end))))
        const interval =
          typeof from !== 'number' || typeof to !== 'number' ? '' : line([at(point), from], [at(point), to], kinds[2])
        return `${interval}<circle cx="${round(at(point))}" cy="${round(y(value))}" r="3.5" class="${kinds[1]}"/>`
      }),
      ...points.flatMap((point, n) =>
        n % every === 0
          ? [
              text(at(point), foot + 16, point.year, 'soft middle'),
              text(at(point), foot + 31, String(point.count), 'soft middle'),
            ]
          : [],
      ),
      text(12, foot + 31, counts, 'soft'),
    ].join(''),
    height: top + PLOT + BOTTOM,
  }
}
