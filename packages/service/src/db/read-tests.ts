/** Reads tests by id through `ll.read_tests`, which asks for many readers in one message, each behind its own wall. */
import type pg from 'pg'
import { byteaArray, uuidArray } from './binary-array.ts'
import { Gatherer, type GatherLimits } from './gather.ts'
import type { ReaderSetting } from './principal-dialect.ts'
import { codeOf } from './roles.ts'

/** A test with its sheet, context and place in the ledger. */
export interface StoredTest {
  readonly id: string
  readonly firmId: string
  readonly plantId: string
  /** `YYYY-MM-DD`. */
  readonly testedOn: string
  readonly receivedAt: Date
  readonly edition: string
  readonly soundness: string
  readonly raw: Buffer
  readonly rawSha256: Buffer
  readonly context: Buffer
  readonly contextSha256: Buffer
  readonly evaluationSha256: Buffer
  readonly ledgerIndex: number
}

/** What a test is known by that is held in memory: its hashes and its edition. */
export function markOf(test: Pick<StoredTest, 'rawSha256' | 'contextSha256' | 'evaluationSha256' | 'edition'>): Buffer {
  return Buffer.concat([test.rawSha256, test.contextSha256, test.evaluationSha256, Buffer.from(test.edition)])
}

export interface TestQuestion {
  /** Firm or program that reads; undefined for roles that see all. */
  readonly reader: string | undefined
  readonly testId: string
  /** Mark of what is held of the test. */
  readonly known: Buffer | undefined
}

/** Undefined: the reader sees no such test. `known`: the row has the mark that was sent. */
export type TestAnswer = StoredTest | 'known' | undefined

export type TestReads = Gatherer<TestQuestion, TestAnswer>

/** `setting` is the one that the policies of the pool's role look at. */
export function gatherTestReads(pool: pg.Pool, setting: ReaderSetting | undefined, limits: GatherLimits): TestReads {
  return new Gatherer((questions) => readAll(pool, setting, questions), { ...limits, isOneItems })
}

/** Data exceptions and damaged data (classes 22 and XX of SQLSTATE) may lie in one row; other failures concern all. */
const isOneItems = (error: unknown): boolean => /^(22|XX)/.test(codeOf(error) ?? '')

type Row = [
  place: number,
  isKnown: boolean,
  firmId: string,
  plantId: string,
  testedOn: string,
  receivedAt: Date,
  edition: string,
  soundness: string,
  raw: Buffer,
  rawSha256: Buffer,
  context: Buffer,
  contextSha256: Buffer,
  evaluationSha256: Buffer,
  ledgerIndex: number,
]

/** The one message for all questions. */
export function readCall(
  setting: ReaderSetting | undefined,
  questions: readonly TestQuestion[],
): { readonly name: string; readonly text: string; readonly values: (string | Buffer | null)[] } {
  return {
    name: 'read_tests',
    text: 'select * from ll.read_tests($1, $2, $3, $4)',
    values: [
      setting ?? null,
      uuidArray(questions.map(({ reader }) => reader)),
      uuidArray(questions.map(({ testId }) => testId)),
      byteaArray(questions.map(({ known }) => known)),
    ],
  }
}

async function readAll(
  pool: pg.Pool,
  setting: ReaderSetting | undefined,
  questions: readonly TestQuestion[],
): Promise<TestAnswer[]> {
  const { rows } = await pool.query<Row>({ ...readCall(setting, questions), rowMode: 'array' })
  const answers: TestAnswer[] = new Array(questions.length).fill(undefined)
  for (const row of rows) answers[row[0] - 1] = row[1] ? 'known' : toTest(questions[row[0] - 1]!.testId, row)
  return answers
}

function toTest(id: string, row: Row): StoredTest {
  const [, , firmId, plantId, testedOn, receivedAt, edition, soundness, raw, rawSha256, context] = row
  const [contextSha256, evaluationSha256, ledgerIndex] = row.slice(11) as [Buffer, Buffer, number]
  return {
    id,
    firmId,
    plantId,
    testedOn,
    receivedAt,
    edition,
    soundness,
    raw,
    rawSha256,
    context,
    contextSha256,
    evaluationSha256,
    ledgerIndex,
  }
}
