import { describe, expect, test } from 'vitest'
import { lineThrough, sinceLastChange } from './plants-falling.ts'
import type { EfficiencyRow } from './sound-tests.ts'

const row = (tested_on: string, efficiency = 0.6, edition = '2026-1'): EfficiencyRow => ({
  plant_id: 'p',
  id: tested_on,
  tested_on,
  edition,
  efficiency,
  efficiency_u: 0.02,
})
const days = (rows: readonly EfficiencyRow[]) => rows.map(({ tested_on }) => tested_on)

describe('tests that are compared', () => {
  const rows = ['2023-05-01', '2024-05-01', '2025-05-01', '2026-05-01'].map((day) => row(day))

  test('are those since the last change of equipment, the day of the change among them', () => {
    const { tests, equipmentSince } = sinceLastChange(rows, ['2022-01-01', '2024-05-01', '2026-06-01'])
    expect(days(tests)).toEqual(['2024-05-01', '2025-05-01', '2026-05-01'])
    // What changes after the last test has not been tested yet.
    expect(equipmentSince).toBe('2024-05-01')
    expect(sinceLastChange(rows, []).tests).toHaveLength(4)
  })

  test('have the head setting of the last of them', () => {
    const { tests, velocityHead } = sinceLastChange([row('2022-05-01', 0.6, '1900-1'), ...rows], [])
    expect([velocityHead, tests.length]).toEqual(['include', 4])
    const unknown = sinceLastChange([...rows, row('2026-07-01', 0.6, '1900-1')], [])
    expect([unknown.velocityHead, days(unknown.tests)]).toEqual(['not-known', ['2026-07-01']])
  })
})

test('a line takes three tests and a year', () => {
  expect(lineThrough([row('2024-05-01'), row('2025-06-01')])).toBeUndefined()
  expect(lineThrough([row('2024-05-01'), row('2024-09-01'), row('2025-04-30')])).toBeUndefined()
  expect(lineThrough([row('2024-05-01'), row('2024-09-01'), row('2025-05-01')])).toBeDefined()
})

test('an interval that touches nothing is not below it', () => {
  // Efficiencies on the line: slope −s, half-width k u/√Σ(x − mean)² with k u = 0.02 as stated.
  const falling = (perYear: number) =>
    lineThrough([row('2024-05-01', 0.6 + perYear), row('2025-05-01', 0.6), row('2026-05-01', 0.6 - perYear)])!
  const year = 365 / 365.2425
  const half = 0.02 / Math.sqrt(2 * year ** 2)
  expect(falling((half + 1e-6) * year).high).toBeLessThan(0)
  expect(falling((half - 1e-6) * year).high).toBeGreaterThan(0)
})
