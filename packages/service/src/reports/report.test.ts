/** Reports of honest and faulty tests: every figure a result, nothing lost, every text a text. */
import { quantities, type Sheet } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { describe, expect, test } from 'vitest'
import { PAGE_POLICY } from '../render/page-style.ts'
import { reportPage } from './page.ts'
import { readingParts } from './readings.ts'
import { reportOf } from './report.ts'
import { readTestOf } from './testing.ts'
import { reportText } from './text.ts'

describe.each(goldenCases().map((golden) => [golden.id, golden] as const))('the report of %s', (_, golden) => {
  const read = readTestOf(golden)
  const report = reportOf(read)

  test('has every result once, and every finding with what to do', () => {
    const { results, findings } = read.evaluation
    expect(report.runs.flatMap(({ figures }) => figures)).toHaveLength(results.length)
    expect(report.findings.map(({ message, remedy }) => [message, remedy])).toEqual(
      findings.map(({ message, remedy }) => [message, remedy]),
    )
  })

  test('has every number of the sheet as it was written', () => {
    const texts = report.readings.parts.flatMap(({ lines }) => lines.map(({ value }) => value)).join(' ')
    const numbers: string[] = []
    JSON.stringify(golden.sheet, (name, value) => {
      if (typeof value === 'number' && name !== 'normalRun') numbers.push(String(value))
      return value
    })
    expect(numbers.filter((number) => !texts.includes(number))).toEqual([])
  })

  test('says the same as page and as text, and warns of what was done', () => {
    const [page, text] = [reportPage(report).replaceAll(/<[^>]*>/g, ''), reportText(report)]
    for (const { title } of report.cautions) expect([page.includes(title), text.includes(title)]).toEqual([true, true])
    expect(report.cautions.length).toBeGreaterThan(0)
    for (const { value } of report.runs.flatMap(({ figures }) => figures)) {
      expect(page.replaceAll(/<\/?span[^>]*>/g, '')).toContain(value)
      expect(text).toContain(value)
    }
  })
})

test('leads from each figure to the page of its quantity, where the service is reached', () => {
  const report = reportOf(readTestOf(goldenCases()[0]!), 'https://liftledger.example')
  const page = reportPage(report)
  for (const { explained } of report.runs.flatMap(({ figures }) => figures)) {
    const id = explained.replace('https://liftledger.example/method/quantities/', '')
    expect(Object.keys(quantities)).toContain(id)
    expect(page).toContain(`<a href="${explained}">`)
  }
})

test.each([
  ['withdrawn', /^The firm took this test back/],
  ['unsound', /^Some of what was read can not be right/],
  ['in-question', /^Some of what was read is in question/],
] as const)('of a test that is %s says so before any figure', (soundness, said) => {
  const read = readTestOf(goldenCases()[0]!)
  expect(reportOf({ ...read, standing: { soundness, successor: null, compared: null } }).answer[0]).toMatch(said)
})

const HOSTILE = `<script>alert(1)</script><img src=x onerror="alert('2')">&amp;`
/** Every text in it made hostile, each another one. */
function spoiled<T>(value: T): { readonly value: T; readonly count: number } {
  let count = 0
  const text = JSON.stringify(value, (name, member) =>
    typeof member === 'string' && name !== 'place' ? `${HOSTILE}${++count};` : member,
  )
  return { value: JSON.parse(text) as T, count }
}

test('with a hostile text in every place shows each as text', () => {
  const hostile = spoiled(reportOf(readTestOf(goldenCases().find(({ id }) => id === 'FAULT-02')!)))
  const page = reportPage(hostile.value)
  expect(page).not.toMatch(/<script|<img/)
  const shown = new Set([...page.matchAll(/&amp;amp;(\d+);/g)].map(([, n]) => Number(n)))
  expect(Array.from({ length: hostile.count }, (_, n) => n + 1).filter((n) => !shown.has(n))).toEqual([])
  expect(PAGE_POLICY).toContain("default-src 'none'")
})

const told = (sheet: unknown): readonly string[] => {
  const { parts, note } = readingParts(sheet as Sheet)
  const lines = parts.flatMap(({ title, lines }) => lines.map(({ label, value }) => `${title} | ${label}: ${value}`))
  return note === undefined ? lines : [note, ...lines]
}

test('lists readings by where they stand: repeats in one line, words for codes, a ratio without a unit', () => {
  const sheet = {
    plant: 'AM-01',
    testedOn: '2026-05-12',
    runs: [
      {
        dischargePressure: { reading: { value: 41.5, unit: 'psi' } },
        flow: { method: 'weir-v-notch', pipe: { diameterBasis: 'outside-and-wall' } },
        power: {
          kh: { value: 1.8, unit: 'Wh/rev' },
          timings: [{ revolutions: { value: 10, unit: 'rev' }, elapsed: { value: 33.4, unit: 's' } }],
        },
        waterTemperature: { value: 64, unit: 'degF' },
      },
    ],
    standingLevel: {
      mark: 'access-edge',
      repeats: [
        { value: 1.5, unit: 'ft' },
        { value: 1.6, unit: 'ft' },
      ],
      factor: { value: 40, unit: '1' },
    },
    leftOut: [{ reading: 'discharge-centre-height', run: 0, reason: 'no-access' }],
  }
  expect(told(sheet)).toEqual([
    'Standing level | measured from: access-edge',
    'Standing level | repeats: 1.5, 1.6 ft',
    'Standing level | factor: 40',
    'The visit | left out, 1: reading discharge centre height; run 1; reason no access',
    'Discharge pressure | reading: 41.5 psi',
    'Flow | method: V-notch weir',
    'Flow | pipe, diameter basis: outside and wall',
    'Power | meter constant Kh: 1.8 Wh/rev',
    'Power | timings, 1: revolutions 10 rev; elapsed 33.4 s',
    'The run | water temperature: 64 °F',
  ])
})

test('tells times without the day and zone that they share, and others whole', () => {
  const started = (startedAt: string) => ({ startedAt })
  const sheet = {
    testedOn: '2026-05-12',
    runs: [
      '2026-05-12T08:45:00-07:00',
      '2026-05-12T08:45:10-07:00',
      '2026-05-12T15:45:00Z',
      '2026-05-11T08:45:00-07:00',
    ].map(started),
  }
  expect(told(sheet)).toEqual([
    'Times are of 2026-05-12, UTC−07:00, unless a day stands beside them.',
    'Run 1 | started at: 08:45',
    'Run 2 | started at: 08:45:10',
    'Run 3 | started at: 2026-05-12 15:45 UTC',
    'Run 4 | started at: 2026-05-11 08:45 UTC−07:00',
  ])
})
