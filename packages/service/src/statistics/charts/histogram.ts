/** Histograms, one below the other on one axis, with mean and its interval. */
import { scaleLinear } from 'd3-scale'
import type { MeasureId } from '../measures.ts'
import type { StatisticsGroup } from '../schemas.ts'
import { type Drawing, heading, line, type Panel, page, round, text, valueAxis } from './frame.ts'
import { counted, groupWords, NOT_A_SAMPLE, READINGS, told, unitOf } from './words.ts'

const PLOT = 150
const TOP = 62
const BOTTOM = 44
const LEFT = 48
const RIGHT = 14

export function histogramChart(
  groups: readonly StatisticsGroup[],
  measure: MeasureId,
  notes: readonly string[],
  drawing: Drawing,
): string {
  const { title, per } = READINGS[measure]
  const unit = unitOf(READINGS[measure], groups)
  const bars = groups.flatMap(({ histogram }) => histogram)
  const low = Math.min(...bars.map(({ from }) => from / per))
  const high = Math.max(...bars.map(({ to }) => to / per))
  const x = scaleLinear([low, high], [LEFT, drawing.width - RIGHT]).nice()
  const panels = groups.map((group) => panelOf(group, { x, per, unit, title, width: drawing.width }))
  return page(
    drawing,
    `${title}: tests by value`,
    groups.map((group) => `${groupWords(group.group)}: ${summary(group, per, unit)}`).join('; '),
    panels,
    [...notes, 'The vertical line is the mean, the bar across it its 95 % interval over plants.', NOT_A_SAMPLE],
  )
}

function summary({ tests, plants, mean }: StatisticsGroup, per: number, unit: string): string {
  const counts = `${counted(tests, 'test')}, ${counted(plants, 'plant')}`
  if (mean === undefined) return counts
  const interval =
    mean.low === undefined || mean.high === undefined
      ? ''
      : ` (95 %: ${told(mean.low / per)} to ${told(mean.high / per)})`
  return `${counts}; mean ${told(mean.value / per)}${interval} ${unit}`
}

interface Axis {
  readonly x: ReturnType<typeof scaleLinear<number, number>>
  readonly per: number
  readonly unit: string
  readonly title: string
  readonly width: number
}

function panelOf(group: StatisticsGroup, { x, per, unit, title, width }: Axis): Panel {
  const { histogram, mean } = group
  const head = heading(groupWords(group.group), summary(group, per, unit), width)
  const top = TOP + head.more
  const most = Math.max(1, ...histogram.map(({ tests }) => tests))
  const y = scaleLinear([0, most], [top + PLOT, top]).nice()
  const zero = y(0)
  const parts = [
    head.svg,
    valueAxis(y, [LEFT, width - RIGHT], '', (value) => (Number.isInteger(value) ? String(value) : '')),
    ...histogram.map(({ from, to, tests }) => {
      const [left, right] = [x(from / per), x(to / per)]
      return `<rect x="${round(left + 0.5)}" y="${round(y(tests))}" width="${round(Math.max(0.5, right - left - 1))}" height="${round(zero - y(tests))}" class="bar"/>`
    }),
    line([LEFT, zero], [width - RIGHT, zero], 'axis'),
    ...x.ticks(width < 420 ? 4 : 8).map((value) => text(x(value), zero + 16, told(value), 'soft middle')),
    text((LEFT + width - RIGHT) / 2, zero + 34, `${title}, ${unit}`, 'soft middle'),
    text(12, top - 14, 'tests', 'soft'),
  ]
  if (mean !== undefined) {
    const at = x(mean.value / per)
    // A rim, since a line can't stand out from bars and from paper alike.
    parts.push(line([at, top - 8], [at, zero], 'rim'), line([at, top - 8], [at, zero], 'mark'))
    if (mean.low !== undefined && mean.high !== undefined)
      parts.push(line([x(mean.low / per), top - 8], [x(mean.high / per), top - 8], 'mark'))
  }
  return { svg: parts.join(''), height: top + PLOT + BOTTOM }
}
