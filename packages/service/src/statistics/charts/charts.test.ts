/** Charts say what they show: quantity and unit at the axis, interval and count in words, and all of it within the sheet. */
import { describe, expect, test } from 'vitest'
import type { StatisticsGroup, TrendGroup } from '../schemas.ts'
import { bandsChart } from './bands.ts'
import { histogramChart } from './histogram.ts'
import { panelTrendChart } from './panel-trend.ts'

const group = (year: string, tests: number, more: Partial<StatisticsGroup> = {}): StatisticsGroup =>
  ({
    group: { driver: 'electric-motor', region: 'Upper <Ambermoor>', year },
    tests,
    plants: tests - 1,
    mean: { value: 0.62, low: 0.58, high: 0.66, intervalIs: 'over-plants' },
    percentiles: [10, 25, 50, 75, 90].map((percent) => ({
      percent,
      value: 0.5 + percent / 500,
      low: 0.48 + percent / 500,
      high: 0.52 + percent / 500,
    })),
    histogram: [
      { from: 0.5, to: 0.6, tests: 7 },
      { from: 0.6, to: 0.7, tests: tests - 7 },
    ],
    ...more,
  }) as StatisticsGroup
const trend: TrendGroup = {
  group: { driver: 'electric-motor' },
  allTested: [
    { year: 2024, tests: 41, mean: 0.6, low: 0.58, high: 0.62 },
    { year: 2025, tests: 43, mean: 0.61, low: 0.59, high: 0.63 },
  ],
  panel: [{ year: 2025, plants: 37, meanChange: -0.01, low: -0.02, high: 0.001 }],
}
const OWN = ['Whose tests.']
const chartsAt = (width: number) => {
  const drawing = { width, theme: 'auto' } as const
  return {
    histogram: histogramChart([group('2025', 31)], 'overall-plant-efficiency', OWN, drawing),
    bands: bandsChart([group('2024', 31), group('2025', 29)], 'overall-plant-efficiency', OWN, drawing),
    trend: panelTrendChart([trend], OWN, drawing),
  }
}

/** Each text with its place; words that were wrapped are joined again by `wordsOf`. */
const textsOf = (svg: string) =>
  [...svg.matchAll(/<text x="([^"]*)" y="([^"]*)"(?: class="([^"]*)")?>([^<]*)<\/text>/g)].map(
    ([, x, y, kind, text]) => ({
      x: Number(x),
      y: Number(y),
      kind: kind ?? '',
      text: text!.replace('&lt;', '<').replace('&gt;', '>'),
    }),
  )
const wordsOf = (svg: string): string =>
  textsOf(svg)
    .map(({ text }) => text)
    .join(' ')

describe.each(Object.entries(chartsAt(366)))('%s', (name, svg) => {
  const said = {
    histogram: [
      'Overall plant efficiency, %',
      '31 tests, 30 plants; mean 62 (95 %: 58 to 66) %',
      '95 % interval over plants',
    ],
    bands: ['Overall plant efficiency, %', 'median, with its 95 % interval', '31', '29', 'tests'],
    trend: [
      'Overall plant efficiency, %',
      'Change, percentage points',
      '95 % intervals over plants',
      '41',
      '43',
      '37',
      'plants',
    ],
  }[name]!

  test('says quantity, unit, interval and count', () => {
    for (const words of [...said, 'Tested plants are not a random sample', ...OWN])
      expect(wordsOf(svg)).toContain(words)
  })
  test('is described to who can’t see it', () => {
    expect(svg).toMatch(/role="img" aria-labelledby="t d"><title id="t">[^<]+<\/title><desc id="d">[^<]+<\/desc>/)
  })
  test('follows the reader’s system between light and dark', () => {
    expect(svg).toContain('@media(prefers-color-scheme:dark)')
  })
})

test.each([280, 366, 900])('no text leaves a sheet of %d pixels', (width) => {
  for (const svg of Object.values(chartsAt(width)))
    for (const { x, kind, text } of textsOf(svg)) {
      // Widths of DejaVu Sans, the widest of the usual fonts: 6.7 a character, 8.9 in bold titles.
      const long = text.length * (kind === 'title' ? 8.9 : 6.7)
      const left = kind.includes('end') ? x - long : kind.includes('middle') ? x - long / 2 : x
      expect(left, text).toBeGreaterThanOrEqual(0)
      expect(left + long, text).toBeLessThanOrEqual(width)
    }
})

test('what a group is called stays a text', () => {
  expect(chartsAt(366).histogram).toContain('Upper &lt;Ambermoor&gt;')
})

test('bands are drawn of years with ten tests, not of one with nine', () => {
  const bands = (tests: number) =>
    bandsChart([group('2025', tests)], 'flow', [], { width: 366, theme: 'light' }).match(
      /<rect [^>]*class="(wide|band)"/g,
    )
  expect(bands(10)).toHaveLength(2)
  expect(bands(9)).toBeNull()
})

test('costs are told in their currency', () => {
  const costs = group('2025', 31, { currency: 'USD' })
  const svg = histogramChart([costs], 'cost-per-volume', [], { width: 640, theme: 'light' })
  expect(wordsOf(svg)).toContain('Energy cost per volume of water, USD/1000 m³')
  expect(svg).not.toContain('currency')
})
