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
  /** What the findings made of it when it was submitted. */
  readonly soundness: string
  readonly raw: Buffer
  readonly rawSha256: Buffer
  readonly context: Buffer
  readonly contextSha256: Buffer
  readonly evaluationSha256: Buffer
  readonly ledgerIndex: number
  /** 1 for a test as first submitted. */
  readonly revision: number
  /** The version whose place it took. */
  readonly revises: string | null
}

/** What became of a test, as its reader sees it now. Unlike the test this changes. */
export interface Standing {
  readonly soundness: Soundness
  /** When it was compared with the record, and how many findings came of it; null while it waits for that. */
  readonly compared: { readonly at: Date; readonly findings: number } | null
  /** The version that took its place. */
  readonly successor: string | null
}

/** By findings, its own and those from the record, and a program's decisions on them, unless it was closed. */
export const SOUNDNESS_NOW = ['sound', 'in-question', 'unsound', 'superseded', 'withdrawn'] as const
export type Soundness = (typeof SOUNDNESS_NOW)[number]

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

/** Undefined: the reader sees no such test. Without `stored`: the row has the mark that was sent. */
export type TestAnswer = { readonly standing: Standing; readonly stored?: StoredTest } | undefined

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
  soundnessNow: Soundness,
  successor: string | null,
  comparedAt: Date | null,
  foundBeside: number | null,
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
  revision: number,
  revises: string | null,
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
  for (const row of rows) {
    const [place, isKnown, soundness, successor, comparedAt, foundBeside] = row
    const compared = comparedAt && { at: comparedAt, findings: foundBeside ?? 0 }
    const standing = { soundness, successor, compared }
    answers[place - 1] = isKnown ? { standing } : { standing, stored: toTest(questions[place - 1]!.testId, row) }
  }
  return answers
}

function toTest(id: string, row: Row): StoredTest {
  const [, , , , , , firmId, plantId, testedOn, receivedAt, edition, soundness, raw, rawSha256, ...rest] = row
  const [context, contextSha256, evaluationSha256, ledgerIndex, revision, revises] = rest
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
    revision,
    revises,
  }
}
