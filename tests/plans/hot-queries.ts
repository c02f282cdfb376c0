/** The queries that are asked all the time or over all tests, for each kind of reader. */
import { readCall } from '../../packages/service/src/db/read-tests.ts'
import { findEarlierUse, listGivenTests, listStoredTests } from '../../packages/service/src/field-tests/queries.ts'
import { listHistory } from '../../packages/service/src/plant-history/queries.ts'
import { listTurns } from '../../packages/service/src/programs/queries.ts'
import { listReads, listReadsOfTest } from '../../packages/service/src/read-log/queries.ts'
import {
  countOfPlant,
  lookalikes,
  ofPlant,
  ofTester,
  standing,
  withSameBytes,
} from '../../packages/service/src/record-findings/candidates.ts'
import { nextInQueue } from '../../packages/service/src/record-findings/queue.ts'
import { type Asked, recorded } from './explain.ts'
import { idOf, type Size } from './fill.ts'

export interface Reader {
  readonly name: string
  readonly role: 'll_firm' | 'll_program' | 'll_auditor' | 'll_keeper'
  readonly settings: Readonly<Record<string, string>>
  /** Numbers of tests that it may see. */
  readonly tests: readonly number[]
  /** Plant of the first of them. */
  readonly plant: number
}

export interface HotQuery {
  readonly reader: Reader
  readonly name: string
  readonly asked: Asked
}

/** A usual firm, one of few tests, a program, one without tests, and who sees all. */
export function readers({ firms, plantsPerFirm, tests }: Size): Reader[] {
  const step = firms - 1
  // Tests of firm 8, and those of them that are given to program 0.
  const ofFirm = [7 + step * 3, 7 + step * 4]
  const plantOf = (test: number, firm: number) => firm * plantsPerFirm + (Math.floor(test / firms) % plantsPerFirm)
  const given = 12
  const firm = (name: string, number: number, its: readonly number[]): Reader => ({
    name,
    role: 'll_firm',
    settings: { 'app.firm': idOf('firm', number) },
    tests: its,
    plant: plantOf(its[0]!, number),
  })
  const everyone = { settings: {}, tests: [given, tests - 1], plant: plantOf(given, 1 + (given % step)) }
  return [
    firm('firm', 8, ofFirm),
    firm('firm of few tests', 0, [1, 2]),
    {
      name: 'program',
      role: 'll_program',
      settings: { 'app.program': idOf('program', 4) },
      tests: [given, given],
      plant: plantOf(given, 1 + (given % step)),
    },
    {
      ...everyone,
      name: 'program of no tests',
      role: 'll_program',
      settings: { 'app.program': idOf('program', 4095) },
    },
    { ...everyone, name: 'auditor', role: 'll_auditor' },
    { ...everyone, name: 'keeper', role: 'll_keeper' },
  ]
}

const LIMIT = 50

/** What is asked for each test that is compared with the record, here for one in the middle of it. */
function comparing({ tests, firms }: Size, { plant }: Reader): [string, Parameters<typeof recorded>[0]][] {
  const n = Math.floor(tests / 2)
  const firm = 1 + (n % (firms - 1))
  const test = {
    ...{
      id: idOf('test', n),
      firmId: idOf('firm', firm),
      plantId: idOf('plant', plant),
      testerId: idOf('tester', firm),
    },
    ...{ testedOn: '2010-06-01', revises: null, rawSha256: Buffer.alloc(32), edition: '2026-1', ledgerIndex: n },
  }
  const windows = Array.from({ length: 40 }, (_, window) => String(n * 8 + window))
  return [
    ['tests to compare', (tx) => nextInQueue(tx, -1, LIMIT)],
    ['to compare: of the plant', (tx) => ofPlant(tx, test)],
    ['to compare: of the tester', (tx) => ofTester(tx, test)],
    ['to compare: the same bytes', (tx) => withSameBytes(tx, test)],
    ['to compare: versions that stood', (tx) => standing(tx, [test.id, idOf('test', 3)], n)],
    ['to compare: readings in common', (tx) => lookalikes(tx, windows, n, [])],
    ['to compare: how many of the plant', (tx) => countOfPlant(tx, test.plantId, n)],
  ]
}

export async function hotQueries(size: Size): Promise<HotQuery[]> {
  const queries: HotQuery[] = []
  for (const reader of readers(size)) {
    const list = reader.role === 'll_program' ? listGivenTests : listStoredTests
    const [setting, id] = Object.entries(reader.settings)[0] ?? [undefined, undefined]
    const after = { testedOn: '2014-06-01', id: idOf('test', 0) }
    const period = { testedFrom: '2010-01-01', testedTo: '2012-12-31' }
    const plant = `P-${reader.plant}`
    const add = async (name: string, ask: Parameters<typeof recorded>[0]) => {
      for (const asked of await recorded(ask)) queries.push({ reader, name, asked })
    }
    const questions = reader.tests.map((n) => ({ reader: id, testId: idOf('test', n), known: undefined }))
    const { text, values } = readCall(setting as Parameters<typeof readCall>[0], questions)
    queries.push({ reader, name: 'tests by id, gathered', asked: { sql: text, parameters: values } })
    await add('newest tests', (tx) => list(tx, {}, undefined, LIMIT))
    await add('a later page', (tx) => list(tx, {}, after, LIMIT))
    await add('tests of a period', (tx) => list(tx, period, undefined, LIMIT))
    await add('tests of a plant', (tx) => list(tx, { plant }, undefined, LIMIT))
    if (reader.role !== 'll_keeper') {
      const shares = reader.role === 'll_firm'
      await add('history of a plant', (tx) => listHistory(tx, idOf('plant', reader.plant), { limit: LIMIT, shares }))
      await add('who read a test', (tx) => listReadsOfTest(tx, idOf('test', reader.tests[0]!), undefined, LIMIT))
      await add('programs of a test', (tx) => listTurns(tx, idOf('test', reader.tests[0]!), undefined, LIMIT))
    }
    if (reader.role === 'll_auditor') {
      const hour = new Date('2010-01-01T18:00:00Z')
      await add('reads of an hour', (tx) => listReads(tx, hour, -1, LIMIT))
      await add('all reads', (tx) => listReads(tx, undefined, size.tests, LIMIT))
    }
    if (reader.role === 'll_keeper') for (const [name, ask] of comparing(size, reader)) await add(name, ask)
    if (reader.role === 'll_firm') await add('earlier use of a key', (tx) => findEarlierUse(tx, id!, 'key-1'))
  }
  return queries
}
