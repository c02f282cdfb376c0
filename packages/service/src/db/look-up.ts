/** Looks up the records that submissions rest on through `ll.look_up`: many firms in one message, each behind its wall. */
import type pg from 'pg'
import { dateArray, textArray, uuidArray } from './binary-array.ts'
import { Gatherer, type GatherLimits } from './gather.ts'
import { codeOf } from './roles.ts'

/** What a sheet names, by code. */
export interface RecordQuestion {
  /** UUID of the firm that asks. */
  readonly firmId: string
  readonly plantCode: string
  readonly testerCode: string
  readonly instrumentCodes: readonly string[]
  /** Day of the visit, `YYYY-MM-DD`. */
  readonly testedOn: string
}

/** A plant, tester or instrument with what held of it on the day; the members that are not its own are null. */
export interface FoundRecord {
  readonly what: 'plant' | 'tester' | 'instrument'
  readonly id: string
  readonly code: string
  readonly kind: string | null
  readonly region: string | null
  readonly revision: number | null
  readonly effectiveFrom: string | null
  /** JSON: equipment of a plant, facts of an instrument, qualifications of a tester. */
  readonly facts: string | null
}

export type RecordLookUps = Gatherer<RecordQuestion, readonly FoundRecord[]>

/** `pool` is that of firms. */
export function gatherLookUps(pool: pg.Pool, limits: GatherLimits): RecordLookUps {
  return new Gatherer((questions) => lookUpAll(pool, questions), { ...limits, isOneItems })
}

/** Data exceptions (class 22 of SQLSTATE), and what can't even be sent, may lie in one question; other failures concern all. */
const isOneItems = (error: unknown): boolean =>
  error instanceof RangeError || (codeOf(error)?.startsWith('22') ?? false)

type Row = [
  place: number,
  what: FoundRecord['what'],
  id: string,
  code: string,
  kind: string | null,
  region: string | null,
  revision: number | null,
  effectiveFrom: string | null,
  facts: string | null,
]

async function lookUpAll(pool: pg.Pool, all: readonly RecordQuestion[]): Promise<(readonly FoundRecord[])[]> {
  // A firm's tests of one day lean on the same records: what is the same question is asked once.
  const places = new Map<string, number>()
  const questions: RecordQuestion[] = []
  const placeOf = all.map((question) => {
    const { firmId, plantCode, testerCode, instrumentCodes, testedOn } = question
    // No code holds a space.
    const name = [firmId, plantCode, testerCode, testedOn, ...instrumentCodes].join(' ')
    const place = places.get(name) ?? questions.push(question) - 1
    places.set(name, place)
    return place
  })
  const answers = await ask(pool, questions)
  return placeOf.map((place) => answers[place]!)
}

async function ask(pool: pg.Pool, questions: readonly RecordQuestion[]): Promise<FoundRecord[][]> {
  const { rows } = await pool.query<Row>({
    name: 'look_up',
    text: 'select * from ll.look_up($1, $2, $3, $4, $5)',
    values: [
      uuidArray(questions.map(({ firmId }) => firmId)),
      textArray(questions.map(({ plantCode }) => plantCode)),
      textArray(questions.map(({ testerCode }) => testerCode)),
      textArray(questions.map(({ instrumentCodes }) => instrumentCodes.join(' '))),
      dateArray(questions.map(({ testedOn }) => testedOn)),
    ],
    rowMode: 'array',
  })
  const answers: FoundRecord[][] = questions.map(() => [])
  for (const [place, what, id, code, kind, region, revision, effectiveFrom, facts] of rows) {
    answers[place - 1]!.push({ what, id, code, kind, region, revision, effectiveFrom, facts })
  }
  return answers
}
