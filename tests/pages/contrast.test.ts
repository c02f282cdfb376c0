/**
 * Texts stand out from what they are written on, in light and in dark: 4.5 to 1, and 3 to 1 for lines and marks
 * that carry meaning (W3C, Web Content Accessibility Guidelines 2.2, 2023, 1.4.3 and 1.4.11; luminance as defined there).
 */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { STYLE } from '../../packages/service/src/render/page-style.ts'
import { DARK, LIGHT } from '../../packages/service/src/statistics/charts/frame.ts'

const TEXT = 4.5
const MARK = 3

function luminance(colour: string): number {
  const whole = colour.length === 4 ? colour.replaceAll(/[0-9a-f]/g, '$&$&') : colour
  const [r, g, b] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(whole.slice(at, at + 2), 16) / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  }) as [number, number, number]
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

function contrast(one: string, other: string): number {
  const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [number, number]
  return (light + 0.05) / (dark + 0.05)
}

test('black on white is 21 to 1, and #777777 just misses 4.5 on white', () => {
  expect(contrast('#000', '#ffffff')).toBeCloseTo(21, 10)
  expect(contrast('#777777', '#fff')).toBeCloseTo(4.48, 2)
})

const coloursIn = (css: string): Map<string, string> =>
  new Map([...css.matchAll(/--([a-z0-9-]+):\s*(#[0-9a-f]{3,6})\b/g)].map(([, name, colour]) => [name!, colour!]))

const REPORT_TEXTS = [
  ['ink', 'paper'],
  ['quiet', 'paper'],
] as const
const reports = STYLE.match(/:root \{[^}]*\}/g)!.map(coloursIn)
test.each(reports.map((colours, n) => [['light', 'dark', 'on paper'][n]!, colours] as const))(
  'the report, %s',
  (_, colours) => {
    expect(reports).toHaveLength(3)
    for (const [text, ground] of REPORT_TEXTS)
      expect(contrast(colours.get(text)!, colours.get(ground)!), text).toBeGreaterThanOrEqual(TEXT)
  },
)

test.each([
  ['light', coloursIn(LIGHT)],
  ['dark', coloursIn(DARK)],
])('charts, %s', (_, colours) => {
  const on = (mark: string, ground: string) => contrast(colours.get(mark)!, colours.get(ground)!)
  for (const text of ['ink', 'soft']) expect(on(text, 'paper'), text).toBeGreaterThanOrEqual(TEXT)
  // The mark of the mean crosses bars with a rim of paper; the median and its interval cross the bands.
  for (const [mark, ground] of [
    ['main', 'paper'],
    ['second', 'paper'],
    ['main', 'wide'],
    ['ink', 'band'],
  ] as const)
    expect(on(mark, ground), `${mark} on ${ground}`).toBeGreaterThanOrEqual(MARK)
})

test.each([
  ['light', 1],
  ['dark', 2],
])('the page that verifies, %s', (_, place) => {
  const css = readFileSync(new URL('../../packages/sdk/verify-page/page.css', import.meta.url), 'utf8')
  const colours = new Map(
    [...css.matchAll(/--([a-z-]+): light-dark\((#[0-9a-f]+), (#[0-9a-f]+)\)/g)].map((match) => [
      match[1]!,
      match[place + 1]!,
    ]),
  )
  for (const [text, ground] of [
    ['ink', 'ground'],
    ['ink', 'sheet'],
    ['quiet', 'ground'],
    ['quiet', 'sheet'],
    ['on-accent', 'accent'],
    ['good', 'good-ground'],
    ['bad', 'bad-ground'],
    ['bad', 'sheet'],
    ['mind', 'mind-ground'],
    ['mind', 'sheet'],
  ] as const)
    expect(contrast(colours.get(text)!, colours.get(ground)!), `${text} on ${ground}`).toBeGreaterThanOrEqual(TEXT)
})
