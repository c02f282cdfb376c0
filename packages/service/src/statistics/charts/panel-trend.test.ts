import { expect, test } from 'vitest'
import { panelTrendChart } from './panel-trend.ts'

const years = [
  { year: 2024, tests: 300, mean: 0.62, low: 0.61, high: 0.63 },
  { year: 2025, tests: 2, mean: 0.58, low: -0.4, high: 1.7 },
]
const panel = [{ year: 2025, plants: 290, meanChange: -0.02, low: -0.024, high: -0.016 }]
const chart = (width: number) =>
  panelTrendChart([{ group: { driver: 'electric-motor' }, allTested: years, panel }], [], { width, theme: 'light' })

test('axes, units, intervals and counts are there', () => {
  const svg = chart(640)
  for (const shown of [
    '>Overall plant efficiency, %<',
    '>Change, percentage points<',
    '95 % intervals',
    '>300<',
    '>2<',
    '>290<',
    '>−2<',
  ])
    expect(svg).toContain(shown)
})

test('the interval of a mean of two plants neither stretches the axis nor leaves the frame', () => {
  const svg = chart(640)
  const marks = [...svg.matchAll(/class="soft end">([−\d.]+)</g)].map(([, mark]) => Number(mark!.replace('−', '-')))
  expect(Math.max(...marks)).toBeLessThanOrEqual(80)
  const bars = [...svg.matchAll(/y1="([\d.]+)" x2="[\d.]+" y2="([\d.]+)" class="interval"/g)]
  expect(bars).toHaveLength(2)
  for (const ends of bars.flatMap(([, from, to]) => [Number(from), Number(to)])) {
    expect(ends).toBeGreaterThanOrEqual(58)
    expect(ends).toBeLessThanOrEqual(228)
  }
})

test.each([280, 390, 640])('no line of the title is longer than a width of %i shows', (width) => {
  // Of 14 px bold, a character is about 8 px wide on average.
  const titles = [...chart(width).matchAll(/class="title">([^<]*)</g)].map(([, title]) => title!)
  for (const title of titles) expect(title.length * 8).toBeLessThanOrEqual(width - 12)
})
