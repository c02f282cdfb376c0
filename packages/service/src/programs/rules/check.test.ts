import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { contradictionsOf, isRefused } from './check.ts'
import { CONTRADICTION_CODES, WARNINGS } from './contradiction.ts'
import { dayNumber, dayOf, daysLater } from './days.ts'
import type { RuleSetContent } from './schema.ts'
import { checkVersions, inForceOn, type VersionDays } from './versions.ts'

const example = JSON.parse(
  readFileSync(new URL('../../../../../tests/golden/rule-sets/ambermoor-3.json', import.meta.url), 'utf8'),
) as RuleSetContent

const before: VersionDays = { version: 2, inForceFrom: '2025-01-01', inForceTo: '2025-12-31' }
const today = '2025-11-01'

/** The example with one member changed; undefined removes it. */
function changed(pointer: string, value: unknown): RuleSetContent {
  const copy = structuredClone(example) as unknown as Record<string, unknown>
  const steps = pointer.slice(1).split('/')
  const last = steps.pop()!
  const owner = steps.reduce<Record<string, unknown>>((at, step) => at[step] as Record<string, unknown>, copy)
  if (value === undefined) delete owner[last]
  else owner[last] = value
  return copy as unknown as RuleSetContent
}

const found = (rules: RuleSetContent, published: readonly VersionDays[] = [before]) =>
  contradictionsOf(rules, { published, today })

test('the example is published with one warning: its count cap never binds', () => {
  const all = found(example)
  expect(isRefused(all)).toBe(false)
  expect(all).toMatchObject([
    {
      code: 'count-cap-never-binds',
      severity: 'warning',
      rules: [
        { id: 'interval', pointer: '/eligibility/5' },
        { id: 'c-plant', pointer: '/payments/test/caps/0' },
      ],
    },
  ])
})

const hp = (value: number) => ({ value, unit: 'hp' })
type Row = readonly [code: keyof typeof CONTRADICTION_CODES, pointer: string, value: unknown, rules: readonly string[]]

/** What is changed, and the two places that are named. */
const ROWS: readonly Row[] = [
  [
    'from-above-to',
    '/eligibility/4/from',
    hp(700),
    ['rated-power /eligibility/4/from', 'rated-power /eligibility/4/to'],
  ],
  [
    'from-above-to',
    '/payments/test/amounts/2/when/runs',
    { atLeast: 3, below: 3 },
    ['t-multi /payments/test/amounts/2/when/runs/atLeast', 't-multi /payments/test/amounts/2/when/runs/below'],
  ],
  ['nothing-allowed', '/eligibility/0/in', [], ['region /eligibility/0/in']],
  ['nothing-allowed', '/eligibility/2/in', ['windmill'], ['plant-kind /eligibility/2/in']],
  ['nothing-allowed', '/eligibility/7/anyOf', [], ['qualification /eligibility/7/anyOf']],
  ['nothing-allowed', '/eligibility/8/for', undefined, ['calibration /eligibility/8/for']],
  [
    'window-reversed',
    '/payments/repair/window/afterTestAtLeastDaysAfterWork',
    181,
    [
      'undefined /payments/repair/window/afterTestAtLeastDaysAfterWork',
      'undefined /payments/repair/window/afterTestAtMostDaysAfterWork',
    ],
  ],
  ['window-reversed', '/inForceTo', '2025-12-31', ['undefined /inForceFrom', 'undefined /inForceTo']],
  [
    'amounts-overlap',
    '/payments/test/amounts/0/when/plant.ratedPower',
    { below: hp(51) },
    ['t-small /payments/test/amounts/0', 't-large /payments/test/amounts/1'],
  ],
  [
    'amounts-overlap',
    '/payments/test/amounts/0/when',
    undefined,
    ['t-small /payments/test/amounts/0', 't-large /payments/test/amounts/1'],
  ],
  [
    'no-amount',
    '/payments/test/amounts/1/when/plant.ratedPower',
    { from: hp(60) },
    ['rated-power /eligibility/4', 'undefined /payments/test/amounts'],
  ],
  [
    'no-amount',
    '/payments/test/amounts/1/when',
    { 'plant.ratedPower': { from: hp(50) }, 'plant.kind': 'well' },
    ['plant-kind /eligibility/2', 'undefined /payments/test/amounts'],
  ],
  [
    'severity-lowered',
    '/findings/severity',
    { 'tester-qualification-lapsed': 'caution' },
    ['tester-qualification-lapsed /findings/severity/tester-qualification-lapsed'],
  ],
  [
    'severity-lowered',
    '/findings/severity',
    { 'instrument-calibration-expired': 'reject' },
    ['instrument-calibration-expired /findings/severity/instrument-calibration-expired'],
  ],
  [
    'limit-fixed',
    '/findings/limits',
    { 'efficiency-above-attainable': { maxEfficiency: 0.9 } },
    ['efficiency-above-attainable /findings/limits/efficiency-above-attainable/maxEfficiency'],
  ],
  [
    'limit-fixed',
    '/findings/limits',
    { 'hand-check-differs': { maxHandDifference: 0.5 } },
    ['hand-check-differs /findings/limits/hand-check-differs/maxHandDifference'],
  ],
  [
    'limit-fixed',
    '/findings/limits',
    { 'efficiency-rose-without-repair': { maxRise: 0.2 } },
    ['efficiency-rose-without-repair /findings/limits/efficiency-rose-without-repair/maxRise'],
  ],
  [
    'severity-lowered',
    '/findings/severity',
    { 'readings-reused-from-earlier-test': 'note' },
    ['readings-reused-from-earlier-test /findings/severity/readings-reused-from-earlier-test'],
  ],
  [
    'unknown-limit',
    '/findings/limits',
    { 'straight-run-short-upstream': { maxUpstream: 4 } },
    ['straight-run-short-upstream /findings/limits/straight-run-short-upstream/maxUpstream'],
  ],
  [
    'unknown-finding',
    '/findings/severity',
    { 'pump-looks-old': 'hold' },
    ['pump-looks-old /findings/severity/pump-looks-old'],
  ],
  ['unknown-fact', '/eligibility/1/fact', 'plant.colour', ['use /eligibility/1/fact']],
  ['unknown-edition', '/methodEdition', '1999-1', ['method-edition /methodEdition']],
  ['no-operator', '/eligibility/9/equals', undefined, ['consent /eligibility/9']],
  ['unit-does-not-fit', '/quality/1/atMost', { value: 10, unit: 'ft' }, ['uncertainty /quality/1/atMost']],
  ['id-twice', '/readings/0/id', 'region', ['region /eligibility/0', 'region /readings/0']],
  [
    'reading-impossible',
    '/eligibility/3/in',
    ['engine'],
    ['meter-photo /readings/3/needs', 'driver /eligibility/3/in'],
  ],
  [
    'reading-impossible',
    '/readings/2/when',
    { 'power.method': ['volts-amps'] },
    ['timings /readings/2/needs', 'timings /readings/2/when/power.method'],
  ],
  [
    'reading-impossible',
    '/quality/2',
    { id: 'power-method', fact: 'power.method', in: ['volts-amps'] },
    ['timings /readings/2/needs', 'power-method /quality/2/in'],
  ],
  [
    'cap-below-amount',
    '/payments/test/caps/1/amount',
    '179.99',
    ['c-customer /payments/test/caps/1', 't-small /payments/test/amounts/0'],
  ],
  [
    'cap-below-amount',
    '/payments/test/caps/2/count',
    0,
    ['c-firm /payments/test/caps/2', 't-small /payments/test/amounts/0'],
  ],
  [
    'program-cap-below-customer-cap',
    '/payments/test/caps/3/amount',
    '2400.00',
    ['c-program /payments/test/caps/3', 'c-customer /payments/test/caps/1'],
  ],
  [
    'program-cap-below-customer-cap',
    '/payments/repair/caps/2/amount',
    '19999.99',
    ['rc-program /payments/repair/caps/2', 'rc-customer /payments/repair/caps/1'],
  ],
  ['versions-overlap', '/inForceFrom', '2025-12-31', ['undefined /inForceFrom', 'undefined /inForceTo']],
  ['gap-not-stated', '/inForceFrom', '2026-02-01', ['undefined /inForceFrom', 'undefined /inForceTo']],
  ['version-not-next', '/version', 4, ['undefined /version', 'undefined /version']],
]

describe('contradictory rules', () => {
  test.each(ROWS)('%s: %s', (code, pointer, value, rules) => {
    const one = found(changed(pointer, value)).find((each) => each.code === code)
    expect(one?.rules.map((place) => `${place.id} ${place.pointer}`)).toEqual(rules)
    expect(one?.severity).toBe(WARNINGS.includes(code) ? 'warning' : 'refused')
    expect(one?.message.length).toBeGreaterThan(20)
  })

  test('are each shown here', () => {
    const shown = new Set<string>(ROWS.map(([code]) => code))
    const elsewhere = ['count-cap-never-binds', 'in-force-before-publication']
    expect(Object.keys(CONTRADICTION_CODES).filter((code) => !shown.has(code))).toEqual(elsewhere)
  })

  test('of another version name its number', () => {
    const [one] = found(changed('/inForceFrom', '2025-12-31'))
    expect(one!.rules).toEqual([{ pointer: '/inForceFrom' }, { pointer: '/inForceTo', version: 2 }])
  })

  test('are not seen in what only comes close', () => {
    for (const [pointer, value] of [
      ['/eligibility/4/from', hp(600)],
      ['/payments/test/caps/1/amount', '180.00'],
      ['/findings/limits/efficiency-above-attainable', { maxEfficiency: 0.85 }],
      ['/payments/repair/window/afterTestAtLeastDaysAfterWork', 180],
    ] as const) {
      expect(found(changed(pointer, value)).filter(({ severity }) => severity === 'refused')).toEqual([])
    }
  })

  test('a version that reaches back is told of', () => {
    expect(contradictionsOf(example, { published: [before], today: '2026-01-02' })).toContainEqual(
      expect.objectContaining({ code: 'in-force-before-publication', severity: 'warning' }),
    )
  })
})

describe('versions', () => {
  const first = dayNumber('2020-01-01')
  /** Lengths of versions, and of pauses before all but the first. */
  const anyVersions = fc
    .array(fc.tuple(fc.nat({ max: 30 }), fc.integer({ min: 1, max: 400 })), { minLength: 1, maxLength: 6 })
    .map((parts) => {
      let day = first
      return parts.map(([pause, length], n): VersionDays => {
        const from = n === 0 ? day : day + pause
        const pausedFrom = n > 0 && pause > 0 ? { pausedFrom: dayOf(day) } : {}
        day = from + length
        return { version: n + 1, inForceFrom: dayOf(from), inForceTo: dayOf(day - 1), ...pausedFrom }
      })
    })

  test('follow one another, each day in one at most and pauses stated', () => {
    fc.assert(
      fc.property(anyVersions, fc.nat({ max: 2500 }), (versions, offset) => {
        for (const [n, version] of versions.entries()) expect(checkVersions(version, versions.slice(0, n))).toEqual([])
        const day = dayOf(first + offset)
        const covering = versions.filter(({ inForceFrom, inForceTo }) => inForceFrom <= day && day <= inForceTo)
        expect(covering.length).toBeLessThanOrEqual(1)
        expect(inForceOn(versions, day)).toBe(covering[0])
      }),
    )
  })

  test('are refused where one begins a day too early or, without saying so, too late', () => {
    fc.assert(
      fc.property(anyVersions, fc.integer({ min: 1, max: 20 }), (versions, days) => {
        const last = versions.at(-1)!
        const next = { version: last.version + 1, inForceTo: daysLater(last.inForceTo, 100) }
        const early = { ...next, inForceFrom: daysLater(last.inForceTo, 1 - days) }
        const late = { ...next, inForceFrom: daysLater(last.inForceTo, 1 + days) }
        expect(checkVersions(early, versions)[0]?.code).toBe('versions-overlap')
        expect(checkVersions(late, versions).map(({ code }) => code)).toEqual(['gap-not-stated'])
        const stated = { ...late, pausedFrom: daysLater(last.inForceTo, 1) }
        expect(checkVersions(stated, versions)).toEqual([])
      }),
    )
  })
})
