import { expect, test } from 'vitest'
import type { CautionId } from './cautions.ts'
import { cautionsOf } from './cautions-of.ts'
import type { Run, Sheet } from './sheet.ts'
import { goldenCases } from './testing.ts'

const golden = (id: string): Sheet => goldenCases().find((one) => one.id === id)!.sheet
const idsOf = (sheet: Sheet, found: readonly string[] = []): readonly CautionId[] =>
  cautionsOf(
    sheet,
    found.map((id) => ({ id })),
  ).map(({ id }) => id)

test.each([
  ['SHEET-01', 'a pitot traverse', ['drilling-pressurised-pipe', 'lock-out', 'noise-and-eyes']],
  ['SHEET-03', 'an air line and a panel', ['compressed-gas', 'electrical-panel', 'arc-flash']],
  ['SHEET-04', 'a gauge, and a pond that is drawn from', ['pressure-and-hammer', 'chemigation', 'lifting-and-falls']],
  ['SHEET-06', 'a weir', ['place-for-the-water', 'lifting-and-falls', 'alone']],
  ['SHEET-09', 'an engine and its shaft', ['engine', 'fuel', 'rotating-shaft']],
] as const)('%s is shown with cautions of %s', (id, _, expected) => {
  expect(idsOf(golden(id))).toEqual(expect.arrayContaining([...expected]))
})

test('volts and amperes beside another method carry those of the panel', () => {
  const sheet = golden('SHEET-01')
  const [run] = sheet.runs as [Run]
  expect(idsOf(sheet)).not.toContain('arc-flash')
  expect(idsOf({ ...sheet, runs: [{ ...run, electrical: { point: 'supply', phases: 'three' } }] })).toContain(
    'arc-flash',
  )
})

test('what was found adds its own, and each stands once, in the order of the catalogue', () => {
  const sheet = golden('SHEET-02')
  const ids = idsOf(sheet, ['voltage-unbalance-extreme', 'motor-load-above-service-factor'])
  expect(idsOf(sheet)).not.toContain('arc-flash')
  expect(ids).toContain('arc-flash')
  expect(new Set(ids).size).toBe(ids.length)
  expect(ids.indexOf('electrical-panel')).toBeLessThan(ids.indexOf('well-head'))
})

test.each([
  'voltage-unbalance-extreme',
  'motor-load-above-service-factor',
  'suction-margin-short',
  'submergence-small',
])('%s concerns danger, and carries cautions', (id) => {
  expect(cautionsOf({ ...golden('SHEET-02'), runs: [] } as Sheet, [{ id }]).length).toBeGreaterThan(
    cautionsOf({ ...golden('SHEET-02'), runs: [] } as Sheet, []).length,
  )
})
