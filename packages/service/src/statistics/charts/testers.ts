/** Testers against limits that narrow with the number of tests: one plot for all tests, one for the same plants. */
import { median } from 'd3-array'
import { scaleLinear } from 'd3-scale'
import { line as path } from 'd3-shape'
import { limitAt } from '../testers/funnel.ts'
import { NO_FAULT, type TesterComparison, type TesterStatistics } from '../testers/schemas.ts'
import { type Drawing, line, type Panel, page, round, text, valueAxis } from './frame.ts'
import { counted, NOT_A_SAMPLE, told } from './words.ts'

const PLOT = 230
const TOP = 58
const BOTTOM = 50
const LEFT = 46
const RIGHT = 16
const CURVE = 60
const LABEL = 12
/** More numbers can't be told apart. */
const NUMBERED_MAX = 12

export function testersChart(answer: TesterStatistics, drawing: Drawing): string {
  const parts = [
    { name: 'All tests, after what plants explain', noun: 'test', of: answer.allTests },
    { name: 'The same plants, tested by two firms', noun: 'pair', of: answer.samePlants },
  ]
  const panels = parts.map((one) => panelOf(one.name, one.noun, one.of, drawing.width))
  return page(
    drawing,
    `Overall plant efficiency by tester: ${answer.driver.replaceAll('-', ' ')}`,
    parts.map(({ name, noun, of }) => `${name}: ${summary(of, noun)}`).join('; '),
    panels,
    [
      // An id in a line of its own: its capitals are wider than the words that lines are measured by.
      ...parts.flatMap(({ name, of }) => {
        const lines = numberedOf(of).flatMap((one, n) => [`${n + 1}: ${one.testerId}`, legend(one)])
        return lines.length === 0 ? [] : [`${name}:`, ...lines]
      }),
      'Across: tests, counted as independent ones; several of one plant count less. Dashed: the limit of 2 standard errors, the spread between testers included; solid: that of 3.09; both for a tester of middle uncertainty, while the marks go by each tester’s own. Square: beyond the dashed line; diamond: beyond both, with its 95 % interval.',
      NO_FAULT,
      `${NOT_A_SAMPLE} With all up to entry ${answer.ledgerSize} of the ledger.`,
    ],
  )
}

type Tester = TesterComparison['testers'][number]

const numberedOf = ({ testers }: TesterComparison): readonly Tester[] =>
  testers.filter(({ place }) => place !== 'within').slice(0, NUMBERED_MAX)

const percent = (share: number): string => `${share > 0 ? '+' : ''}${told(share * 100)} %`

const legend = ({ difference, low, high, count, score }: Tester): string =>
  `${percent(difference)} (${percent(low)} to ${percent(high)}), ${count} in all, ${told(score)} standard errors`

function summary({ testers, tooFew, leastCount }: TesterComparison, noun: string): string {
  const beyond = (place: Tester['place']): number => testers.filter((one) => one.place === place).length
  return (
    `${counted(testers.length, 'tester')}; ${beyond('beyond-outer')} beyond both limits, ${beyond('beyond-inner')} beyond the ` +
    `inner one; ${tooFew.length} with fewer than ${leastCount} ${noun}s`
  )
}

function panelOf(name: string, noun: string, of: TesterComparison, width: number): Panel {
  const { testers, commonShare, innerLimit, outerLimit } = of
  const title = text(12, 14, name, 'title')
  if (commonShare === undefined || innerLimit === undefined || outerLimit === undefined)
    return { svg: `${title}${text(12, 30, 'Too few testers with enough of them.', 'soft')}`, height: 46 }
  // What one test alone would be good for; so a standard error becomes a number of tests.
  const single = Math.sqrt(testers.reduce((sum, t) => sum + t.count * t.standardError ** 2, 0) / testers.length)
  const between = commonShare * median(testers, ({ statedUncertainty }) => statedUncertainty)!
  const countOf = ({ standardError }: Tester): number => (single / standardError) ** 2
  const most = Math.max(...testers.map(countOf))
  const least = Math.min(...testers.map(countOf))
  const x = scaleLinear([Math.max(1, Math.floor(least * 0.85)), most * 1.05], [LEFT, width - RIGHT])
  const limit = (n: number, errors: number): number => limitAt(single / Math.sqrt(n), between, errors)
  const widest = Math.expm1(limit(x.invert(LEFT), outerLimit))
  const high = Math.max(
    widest,
    ...testers.map(({ high, difference, place }) => (place === 'within' ? difference : high)),
  )
  const low = Math.min(-widest, ...testers.map(({ low, difference, place }) => (place === 'within' ? difference : low)))
  const y = scaleLinear([low * 100, high * 100], [TOP + PLOT, TOP]).nice()
  const curve = (errors: number, sign: number, kind: string): string => {
    const points = Array.from({ length: CURVE + 1 }, (_, n) => {
      const at = LEFT + ((width - RIGHT - LEFT) * n) / CURVE
      return [at, y(Math.expm1(sign * limit(x.invert(at), errors)) * 100)] as [number, number]
    })
    return `<path d="${path()(points.map(([a, b]) => [round(a), round(b)]))}" class="${kind}"/>`
  }
  const numbered = numberedOf(of)
  const foot = TOP + PLOT
  return {
    svg: [
      title,
      ...[text(12, 30, summaryLine(of, noun, width), 'soft')],
      valueAxis(y, [LEFT, width - RIGHT], 'difference, % of the efficiency', told),
      line([LEFT, y(0)], [width - RIGHT, y(0)], 'axis'),
      ...[1, -1].flatMap((sign) => [curve(outerLimit, sign, 'line'), curve(innerLimit, sign, 'second')]),
      ...testers.map((one) => {
        const at: [number, number] = [x(countOf(one)), y(one.difference * 100)]
        const number = numbered.indexOf(one)
        // Of two side by side the lower one is numbered below.
        const isLower = numbered.some(
          (other) => other.difference > one.difference && Math.abs(x(countOf(other)) - at[0]) < 2 * LABEL,
        )
        const label = number < 0 ? '' : text(at[0] + 7, at[1] + (isLower ? LABEL + 1 : -4), String(number + 1))
        return marked(one, at, y) + label
      }),
      ...x.ticks(width < 420 ? 4 : 7).map((value) => text(x(value), foot + 16, told(value), 'soft middle')),
      text((LEFT + width - RIGHT) / 2, foot + 33, `${noun}s, as independent ones`, 'soft middle'),
    ].join(''),
    height: TOP + PLOT + BOTTOM,
  }
}

const summaryLine = ({ testers, tooFew, leastCount }: TesterComparison, noun: string, width: number): string =>
  width < 420
    ? `${counted(testers.length, 'tester')}; ${tooFew.length} with too few`
    : `${counted(testers.length, 'tester')}; ${tooFew.length} more with fewer than ${leastCount} ${noun}s`

/** A form for each place, not only a colour. */
function marked({ place, low, high }: Tester, at: [number, number], y: (value: number) => number): string {
  const [left, top] = at.map(round) as [number, number]
  if (place === 'within') return `<circle cx="${left}" cy="${top}" r="3" class="dot"/>`
  if (place === 'beyond-inner') return `<rect x="${left - 3.5}" y="${top - 3.5}" width="7" height="7" class="dot2"/>`
  const interval = line([left, y(low * 100)], [left, y(high * 100)], 'interval2')
  return `${interval}<path d="M${left} ${round(top - 6)}l6 6l-6 6l-6 -6z" class="dot2"/>`
}
