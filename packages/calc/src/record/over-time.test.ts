/** Record findings that rest on days, times and earlier results, over whole sheets. */
import { describe, expect, test } from 'vitest'
import type { RecordedTest } from './record.ts'
import { beside, type Change, found, idsOf, inYear, recorded } from './testing.ts'

const before = recorded('SHEET-12A')
const after = recorded('SHEET-12B')
const scaled =
  (quantity: string, factor: number) =>
  (test: RecordedTest): RecordedTest => ({
    ...test,
    evaluation: {
      ...test.evaluation,
      results: test.evaluation.results.map((result) =>
        result.quantity === quantity ? { ...result, value: result.value * factor } : result,
      ),
    },
  })

describe('efficiency since the last sound test', () => {
  test('rose and no new equipment is on record: held, and the change is not told twice', () => {
    const [finding, ...others] = found(beside(after, { ofPlant: [before] }))
    expect(others).toEqual([])
    expect(finding).toMatchObject({
      id: 'efficiency-rose-without-repair',
      run: 0,
      place: '/runs/0',
      against: ['SHEET-12A'],
    })
    expect(finding!.message).toMatch(
      /^Overall plant efficiency is 68\.34 %, and your test .* of 2026-03-10 found 49\.72 %/,
    )
  })

  test('is not compared with a test that the record holds up', () => {
    const risen = { ...after, test: 'risen', byRecord: 'in-question' as const }
    const again = recorded('SHEET-12B', { test: 'again', receivedAt: '2026-06-01T00:00:00.000Z' }, (sheet) => {
      sheet.testedOn = '2026-05-30'
    })
    expect(idsOf(beside(again, { ofPlant: [before, risen] }))).toContain('efficiency-rose-without-repair')
  })

  test('rose with new equipment on record: nothing to say', () => {
    const repaired = recorded('SHEET-12B', {}, (_, { plant }) => {
      plant.equipment!.effectiveFrom = '2026-04-02'
    })
    expect(idsOf(beside(repaired, { ofPlant: [before] }))).toEqual([])
  })

  test('fell by more than wear: told, and not held', () => {
    const better = scaled('overall-plant-efficiency', 1.3)(before)
    const worse = recorded('SHEET-12A', { test: 'worse' }, inYear(2027))
    const findings = found(beside({ ...worse, sheet: { ...worse.sheet, runs: [{}] } }, { ofPlant: [better] }))
    expect(findings).toMatchObject([{ id: 'efficiency-changed-much', severity: 'caution', against: ['SHEET-12A'] }])
  })

  test('a test that is not sound, of the same day or of an unusual duty is passed over', () => {
    const unsound = { ...before, evaluation: { ...before.evaluation, soundness: 'in-question' as const } }
    const sameDay = { ...before, sheet: { ...before.sheet, testedOn: after.sheet.testedOn, runs: [] } }
    const unusual = recorded('SHEET-12A', {}, ({ runs }) => {
      runs[0]!.condition = { duty: 'unusual' }
    })
    for (const other of [unsound, sameDay, unusual]) expect(idsOf(beside(after, { ofPlant: [other] }))).toEqual([])
  })

  test('heads that were counted otherwise are not compared', () => {
    const other = { ...before, evaluation: { ...before.evaluation, edition: 'one with other heads' } }
    expect(idsOf(beside(after, { ofPlant: [other] }))).toEqual([])
  })

  test('of another firm’s test no figure is told, in words nor in values', () => {
    const [finding] = found(beside(after, { ofPlant: [{ ...before, firm: 'vennhollow', test: 'secret' }] }))
    const { against, valuesOfOthers, ...seen } = finding!
    expect(against).toEqual(['secret'])
    expect(valuesOfOthers.map(({ name }) => name)).toEqual(['last', 'standardUncertainty'])
    expect(seen.values.map(({ name }) => name)).toEqual(['now'])
    expect(seen.message).toMatch(/more than 8 percentage points above the last sound test of this plant/)
    expect(JSON.stringify(seen)).not.toMatch(/secret|2026-03-10|49\.7|0\.497/)
  })
})

describe('levels', () => {
  test('specific capacity that halved is told', () => {
    const last = scaled('specific-capacity', 2)(before)
    const [, finding] = found(beside(after, { ofPlant: [last] }))
    expect(finding).toMatchObject({ id: 'specific-capacity-changed', severity: 'caution', place: '/runs/0' })
    expect(finding!.message).toMatch(/below that of your test of this plant of 2026-03-10\.$/)
  })

  test('a standing level a hundred feet off the history of the plant is told after three tests, not after two', () => {
    const years = [2023, 2024, 2025].map((year) => recorded('SHEET-01', { test: `of ${year}` }, inYear(year)))
    const slip: Change = ({ standingLevel, runs }) => {
      if (standingLevel === undefined || !('reading' in standingLevel)) throw new Error('SHEET-01 has a level')
      if ('value' in standingLevel.reading) standingLevel.reading.value! -= 60
      standingLevel.repeats = []
      runs[0] = {}
    }
    const subject = recorded('SHEET-01', { test: 'now' }, slip)
    expect(idsOf(beside(subject, { ofPlant: years.slice(1) }))).not.toContain('standing-level-far-from-history')
    expect(found(beside(subject, { ofPlant: years }))).toMatchObject([
      { id: 'standing-level-far-from-history', against: ['of 2023', 'of 2024', 'of 2025'] },
    ])
  })
})

describe('days and times', () => {
  const visit = recorded('SHEET-01')
  const received = (receivedAt: string, change?: Change) => idsOf(beside(recorded('SHEET-01', { receivedAt }, change)))

  test('a reading after receipt, or a day that has begun nowhere, can’t be', () => {
    expect(received('2026-05-11T12:00:00Z')).toEqual(['test-dated-in-future'])
    const dayOnly: Change = (sheet) => Object.assign(sheet, { runs: [], purpose: 'not-testable' })
    expect(
      received('2026-05-11T10:00:00Z', (sheet, context) => {
        dayOnly(sheet, context)
        sheet.standingLevel = undefined as never
      }),
    ).toEqual([])
    expect(
      received('2026-05-11T09:40:00Z', (sheet, context) => {
        dayOnly(sheet, context)
        sheet.standingLevel = undefined as never
      }),
    ).toEqual(['test-dated-in-future'])
  })

  test('a sheet five weeks late is told, a revision as late is not', () => {
    expect(received('2026-06-20T00:00:00Z')).toEqual(['test-submitted-late'])
    const revision = recorded('SHEET-01', { receivedAt: '2026-06-20T00:00:00Z' })
    expect(idsOf(beside(revision, { revised: visit }))).toEqual([])
  })

  test('one tester at two plants at once is held; one after the other is not', () => {
    const elsewhere = recorded('SHEET-01', { test: 'elsewhere', plant: 'another' })
    const [finding] = found(beside(visit, { ofTester: [elsewhere] }))
    expect(finding).toMatchObject({ id: 'tests-overlap-for-tester', severity: 'hold', against: ['elsewhere'] })
    expect(idsOf(beside(visit, { ofTester: [recorded('SHEET-04')] }))).toEqual([])
  })

  test('the eleventh test of a tester on a day is held, against the ten others', () => {
    const others = (count: number) =>
      Array.from({ length: count }, (_, i) => ({
        ...visit,
        test: `test ${i}`,
        sheet: { ...visit.sheet, runs: [] },
        plant: `plant ${i}`,
      }))
    expect(idsOf(beside(visit, { ofTester: others(9) }))).toEqual([])
    const [finding] = found(beside(visit, { ofTester: others(10) }))
    expect(finding).toMatchObject({ id: 'too-many-tests-in-a-day' })
    expect(finding!.against).toHaveLength(10)
  })
})

describe('a revision', () => {
  const faulty = recorded('FAULT-03')
  const multiplier =
    (value: number): Change =>
    ({ runs }) => {
      const { power } = runs[0]!
      if (power === undefined || !('multiplier' in power)) throw new Error('FAULT-03 times a meter')
      power.multiplier = { value, unit: '1' }
    }

  test('that changes a reading so that holds fall away is held, and says which', () => {
    const revision = recorded('FAULT-03', { test: 'revision' }, multiplier(40))
    expect(found(beside(revision, { revised: faulty }))).toMatchObject([
      {
        ...{ id: 'revision-turns-the-outcome', severity: 'hold', against: ['FAULT-03'], place: '' },
        message: expect.stringMatching(
          /changes \/runs\/0\/power\/multiplier\/value; no longer raised: .*multiplier-differs/,
        ),
      },
    ])
  })

  test('that leaves the holds as they are is not', () => {
    expect(idsOf(beside(recorded('FAULT-03', {}, multiplier(401)), { revised: faulty }))).toEqual([])
  })

  test('of an honest sheet is not', () => {
    const honest = recorded('SHEET-01')
    expect(
      idsOf(
        beside(
          recorded('SHEET-01', {}, (sheet) => {
            sheet.tester = 'tsr_02'
          }),
          { revised: honest },
        ),
      ),
    ).toEqual([])
  })

  test('that follows one which turned the outcome is held too, whatever it changes', () => {
    const second = recorded('FAULT-03', { test: 'second' }, multiplier(40))
    const foundInRevised = found(beside(second, { revised: faulty }))
    const [finding] = found(beside({ ...second, test: 'third' }, { revised: second, foundInRevised }))
    expect(finding).toMatchObject({ id: 'revision-turns-the-outcome', severity: 'hold', against: ['second'] })
    expect(finding!.message).toMatch(/^The version before turned the outcome/)
  })

  test('that only adds what was asked for is not', () => {
    const whole = recorded('SHEET-01')
    const lacking = recorded('SHEET-01', {}, ({ runs }) => {
      runs[0]!.dischargePressure = undefined as never
    })
    const bare = { ...lacking, sheet: JSON.parse(JSON.stringify(lacking.sheet)) as RecordedTest['sheet'] }
    expect(lacking.evaluation.soundness).toBe('unsound')
    expect(idsOf(beside(whole, { revised: bare }))).toEqual([])
  })

  test('that takes a reading back as unsafe is', () => {
    const lacking = recorded('SHEET-01', {}, (sheet) => {
      sheet.runs[0]!.dischargePressure = undefined as never
      Object.assign(sheet, JSON.parse(JSON.stringify(sheet)))
    })
    const taken = recorded('SHEET-01', {}, (sheet) => {
      delete (sheet.runs[0] as { dischargePressure?: unknown }).dischargePressure
      sheet.leftOut = [{ reading: 'discharge-pressure', reason: 'unsafe' }]
    })
    expect(idsOf(beside(taken, { revised: lacking }))).toEqual(['revision-turns-the-outcome'])
  })

  test('that moves readings which had been used again is held for what it turned', () => {
    const source = recorded('SHEET-01')
    const copy = recorded('FAULT-01')
    const foundInRevised = found(beside(copy, { lookalikes: [source], searched: 1000 }))
    const moved = recorded('FAULT-01', { test: 'moved' }, ({ runs }) => {
      const { flow } = runs[0]!
      if (flow === undefined || !('diameters' in flow)) throw new Error('FAULT-01 has a traverse')
      for (const [d, { points }] of flow.diameters.entries())
        for (const [i, point] of points.entries())
          if ('value' in point && (i + d) % 3 === 0) point.value! += 0.05 * (1 + (i % 2))
    })
    const [finding] = found(beside(moved, { revised: copy, foundInRevised, lookalikes: [source], searched: 1000 }))
    expect(finding).toMatchObject({ id: 'revision-turns-the-outcome' })
    expect(finding!.message).toMatch(/readings-reused-from-another-plant/)
    expect(
      idsOf(
        beside(
          { ...copy, test: 'same again' },
          { revised: copy, foundInRevised, lookalikes: [source], searched: 1000 },
        ),
      ),
    ).toEqual(['readings-reused-from-another-plant'])
  })
})
