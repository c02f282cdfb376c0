/** Reports of honest and faulty tests: every figure a result, nothing lost, every text a text. */
import { editionById, evaluate } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { canonicalJson } from '@liftledger/ledger'
import { describe, expect, test } from 'vitest'
import type { ReadTest } from '../field-tests/load.ts'
import { PAGE_POLICY, reportPage } from './page.ts'
import { readingLines } from './readings.ts'
import { reportOf } from './report.ts'
import { reportText } from './text.ts'

function readTestOf({ sheet, context }: ReturnType<typeof goldenCases>[number]): ReadTest {
  const edition = editionById('2026-1')!
  const evaluation = evaluate(sheet, context, edition)
  const stored = {
    id: '01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10',
    edition: edition.id,
    rawSha256: Buffer.alloc(32, 1),
    evaluationSha256: Buffer.alloc(32, 2),
  } as ReadTest['stored']
  const standing = { soundness: evaluation.soundness, successor: null, compared: null }
  const canonical = canonicalJson(evaluation)
  const record = { compared: false }
  return {
    stored,
    sheet,
    context,
    edition,
    evaluation,
    canonical,
    replay: 'identical',
    from: 'replay',
    standing,
    record,
  }
}

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
    const texts = report.readings.map(({ value }) => value).join(' ')
    const numbers: string[] = []
    JSON.stringify(golden.sheet, (name, value) => {
      if (typeof value === 'number' && name !== 'normalRun') numbers.push(String(value))
      return value
    })
    expect(numbers.filter((number) => !texts.includes(number))).toEqual([])
  })

  test('says the same as page and as text, and warns of what was done', () => {
    const [page, text] = [reportPage(report), reportText(report)]
    for (const { title } of report.cautions) expect([page.includes(title), text.includes(title)]).toEqual([true, true])
    expect(report.cautions.length).toBeGreaterThan(0)
    for (const { value } of report.runs.flatMap(({ figures }) => figures)) {
      expect(page).toContain(value)
      expect(text).toContain(value)
    }
  })
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

test('lists readings by where they stand, repeats in one line, and a ratio without a unit', () => {
  const lines = readingLines({
    plant: 'AM-01',
    runs: [{ dischargePressure: { reading: { value: 41.5, unit: 'psi', at: '2026-05-12T08:45:00-07:00' } } }],
    standingLevel: {
      repeats: [
        { value: 1.5, unit: 'ft' },
        { value: 1.6, unit: 'ft' },
      ],
      factor: { value: 40, unit: '1' },
    },
  } as never)
  expect(lines.map(({ label, value }) => `${label}: ${value}`)).toEqual([
    'run 1, discharge pressure, reading: 41.5 psi at 2026-05-12T08:45:00-07:00',
    'standing level, repeats: 1.5, 1.6 ft',
    'standing level, factor: 40',
  ])
})
