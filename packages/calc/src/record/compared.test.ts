/** Record findings over whole sheets: what is compared with what, and what a message tells of other firms. */
import { describe, expect, test } from 'vitest'
import { latestEdition } from '../editions/list.ts'
import { dayNumber } from '../instants.ts'
import { goldenCases } from '../testing.ts'
import { beside, type Change, found, idsOf, inYear, recorded } from './testing.ts'

describe('readings of an invented visit', () => {
  const copy = recorded('FAULT-01')
  const source = recorded('SHEET-01')

  test('that were taken from another plant are held, and the place is where they begin', () => {
    const [finding, ...others] = found(beside(copy, { lookalikes: [source], searched: 1000 }))
    expect(others).toEqual([])
    expect(finding).toMatchObject({
      id: 'readings-reused-from-another-plant',
      severity: 'hold',
      against: ['SHEET-01'],
      place: '/runs/0/flow/diameters/0/points',
      limits: [{ name: 'minSharedSurprise', value: 6, unit: '1' }],
      valuesOfOthers: [],
    })
    expect(finding!.message).toBe(
      '25 successive readings equal those of your test of another plant of 2026-05-12, digit by digit.',
    )
  })

  test('of another firm are held without a word of its test', () => {
    const [finding] = found(
      beside(copy, { lookalikes: [{ ...source, firm: 'vennhollow', test: 'secret' }], searched: 1000 }),
    )
    expect(finding?.against).toEqual(['secret'])
    expect(finding?.message).toBe(
      '25 successive readings equal those of another test of another plant, digit by digit.',
    )
    const { against, valuesOfOthers, ...seen } = finding!
    expect(JSON.stringify(seen)).not.toMatch(/secret|vennhollow|2026-05-12/)
  })
})

describe('the golden visits, each beside all that were made before it', () => {
  const FOUND: Readonly<Record<string, readonly string[]>> = { 'FAULT-01': ['readings-reused-from-another-plant'] }
  const firmOf = (tester: string): string => (tester === 'tsr_03' ? 'vennhollow' : 'ostrel')
  const visits = goldenCases(latestEdition.id)
    .map(({ id, sheet }) => recorded(id, { firm: firmOf(sheet.tester) }))
    .sort((a, b) => dayNumber(a.sheet.testedOn) - dayNumber(b.sheet.testedOn))
  // New bowls, in place since this day.
  visits.find(({ test }) => test === 'SHEET-12B')!.context.plant.equipment!.effectiveFrom = '2026-04-02'

  test.each(visits.map((subject, i) => ({ name: subject.test, subject, earlier: visits.slice(0, i) })))(
    '$name',
    ({ name, subject, earlier }) => {
      const elsewhere = earlier.filter(({ plant }) => plant !== subject.plant)
      const day = dayNumber(subject.sheet.testedOn)
      const record = beside(subject, {
        ofPlant: earlier.filter(({ plant }) => plant === subject.plant),
        lookalikes: elsewhere,
        searched: elsewhere.length,
        ofTester: earlier.filter(
          ({ sheet }) => sheet.tester === subject.sheet.tester && day - dayNumber(sheet.testedOn) <= 1,
        ),
      })
      expect(idsOf(record)).toEqual(FOUND[name] ?? [])
    },
  )

  test('honest ones share nothing with those that came after them either', () => {
    const honest = visits.filter(({ test }) => test.startsWith('SHEET-'))
    for (const subject of honest) {
      const elsewhere = honest.filter(({ plant }) => plant !== subject.plant)
      expect(idsOf(beside(subject, { lookalikes: elsewhere, searched: 1 })), subject.test).toEqual([])
    }
  })
})

describe('one visit', () => {
  const first = recorded('SHEET-01', { test: 'first' })

  test('that was sent again is one visit, and not its own readings used again', () => {
    const again = recorded('SHEET-01', { test: 'again' })
    expect(idsOf(beside(again, { ofPlant: [first], sameBytes: ['first'] }))).toEqual([
      'one-visit-sent-twice',
      'same-sheet-sent-again',
    ])
  })

  test('with times an hour off is still told by its readings', () => {
    const later: Change = (sheet) => {
      const text = JSON.stringify(sheet)
        .replaceAll('T07:', 'T17:')
        .replaceAll('T08:', 'T18:')
        .replaceAll('T09:', 'T19:')
      Object.assign(sheet, JSON.parse(text))
    }
    const [finding] = found(
      beside(recorded('SHEET-01', { test: 'again', receivedAt: '2026-05-14T00:00:00Z' }, later), { ofPlant: [first] }),
    )
    expect(finding).toMatchObject({ id: 'one-visit-sent-twice', against: ['first'] })
    expect(finding!.message).toMatch(/^100 % of the readings are those of your test/)
  })

  test('that shares its readings with an older one says so beside being sent twice', () => {
    const again = recorded('SHEET-01', { test: 'again' })
    const older = recorded('SHEET-01', { test: 'older' }, inYear(2025))
    const findings = found(beside(again, { ofPlant: [older, first] }))
    expect(findings.map(({ id, against }) => [id, against])).toEqual([
      ['one-visit-sent-twice', ['first']],
      ['readings-reused-from-earlier-test', ['older', 'first']],
    ])
  })
})

test('columns with one amount added are held as a shifted copy', () => {
  const source = recorded('SHEET-01')
  const shifted = recorded('SHEET-01', { test: 'shifted', plant: 'elsewhere' }, (sheet) => {
    const { flow } = sheet.runs[0]!
    if (flow === undefined || !('diameters' in flow)) throw new Error('SHEET-01 has a traverse')
    for (const { points, centre } of flow.diameters)
      for (const point of [...points, centre!])
        if ('value' in point) point.value = Number((point.value! + 0.35).toFixed(2))
    sheet.runs[0]!.pumpingLevel = undefined as never
    sheet.runs[0]!.power = undefined as never
  })
  const [finding] = found(beside(shifted, { lookalikes: [source], searched: 1 }))
  expect(finding).toMatchObject({ id: 'readings-are-a-shifted-copy', against: ['SHEET-01'], valuesOfOthers: [] })
  expect(finding!.message).toMatch(/^11 successive readings .* with 0\.35 added to each\.$/)
  expect(finding!.values).toContainEqual({ name: 'added', value: 0.35, unit: '1' })
  const [secret] = found(beside({ ...shifted, firm: 'vennhollow' }, { lookalikes: [source], searched: 1 }))
  expect(secret!.message).toMatch(/all moved alike\.$/)
  expect(secret!.values.map(({ name }) => name)).not.toContain('added')
  expect(secret!.valuesOfOthers).toEqual([{ name: 'added', value: 0.35, unit: '1' }])
})
