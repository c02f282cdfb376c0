/** No message asks an untrained person for a dangerous act: what can be tried of that. */
import { readFileSync } from 'node:fs'
import { evaluate, latestEdition } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { describe, expect, test } from 'vitest'
import { DANGERS, defersTo, LINES, ON_PAPER, touchedBy } from './lines.ts'
import { rowOf } from './page.ts'

describe.each(LINES.map((line) => [line.id, line] as const))('the remedy of %s', (id, line) => {
  test('names who may do it, or carries the caution, where it touches what can hurt', () => {
    if (ON_PAPER.has(id)) expect(touchedBy(line).length).toBeGreaterThan(0)
    else for (const danger of touchedBy(line)) expect(defersTo(line, danger), danger.name).toBeDefined()
  })
  test('stands in docs/safety-review.md as it was read; read it, then run tests/safety/review.ts', () => {
    const page = readFileSync(new URL('../../docs/safety-review.md', import.meta.url), 'utf8')
    expect(page.split('\n')).toContain(rowOf(line))
  })
})

test.each([
  ['live panel', 'Open the panel and read the currents again.'],
  ['moving parts', 'Hold the tachometer to the shaft.'],
  ['pipe under pressure', 'Make a new tapping and traverse again.'],
  ['gauge', 'Fit another gauge.'],
  ['well', 'Sound the level again.'],
  ['compressed air', 'Blow the line free.'],
  ['fuel, gas or engine', 'Open the fuel line.'],
  ['open water', 'Deepen the pool before the weir.'],
  ['stopping, switching, closing', 'Close the valve.'],
])('a line that asks anyone for an act at a %s would be found', (name, text) => {
  const danger = DANGERS.find((one) => one.name === name)!
  const line = { id: 'invented', text, cautions: [] }
  expect(touchedBy(line)).toContain(danger)
  expect(defersTo(line, danger)).toBeUndefined()
})

test('advice to read in a panel is for qualified staff, and offers the utility meter first', () => {
  const panel = goldenCases().flatMap(({ sheet, context }) =>
    sheet.runs.some(({ power }) => power?.method === 'volts-amps')
      ? evaluate(sheet, context, latestEdition).advice.filter(({ label }) =>
          /voltage|current|power factor/i.test(label),
        )
      : [],
  )
  expect(panel.length).toBeGreaterThan(0)
  for (const advice of panel)
    expect(advice).toMatchObject({ needsQualifiedStaff: true, offerFirst: 'time-utility-meter' })
})

/** Acts that no line asks of anybody, with or without a caution beside it. */
const NEVER =
  /\b(drill|bore|jumper|bypass|climb|lower a probe|reach (?:in|into|behind)|enter the|go down|remove the (?:guard|cover|plug)|open the (?:panel|cover|starter|well))\b/i

test('asks nobody to open, bore, climb, reach or bridge', () => {
  expect(LINES.filter(({ text }) => NEVER.test(text))).toEqual([])
  for (const asked of ['Open the panel and read again.', 'Reach behind the coupling.', 'Climb into the pit.'])
    expect(asked).toMatch(NEVER)
})
