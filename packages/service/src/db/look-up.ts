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
  what: FoundRecord['what'],
  place: number,
  id: string,
  code: string,
  kind: string | null,
  region: string | null,
  revision: number | null,
  effectiveFrom: string | null,
  facts: string | null,
]

/** A question for one record. */
interface Sought {
  readonly what: FoundRecord['what']
  readonly firmId: string
  readonly code: string
  readonly testedOn: string
}

/**
 * Plant, tester and instruments are asked for apart, each but once: the tests that a firm sends at one time are of many
 * plants, but of few testers with the same instruments.
 */
async function lookUpAll(pool: pg.Pool, all: readonly RecordQuestion[]): Promise<(readonly FoundRecord[])[]> {
  const sought = new Map<string, Sought>()
  const seek = (what: FoundRecord['what'], { firmId, testedOn }: RecordQuestion, code: string): string => {
    // No code holds a space. Of a tester all qualifications are told, whatever the day.
    const name = `${what} ${firmId} ${what === 'tester' ? '' : testedOn} ${code}`
    if (!sought.has(name)) sought.set(name, { what, firmId, code, testedOn })
    return name
  }
  const names = all.map((question) => [
    seek('plant', question, question.plantCode),
    seek('tester', question, question.testerCode),
    // More than one place of a sheet may name the same instrument.
    ...new Set(question.instrumentCodes.map((code) => seek('instrument', question, code))),
  ])
  const found = await find(pool, sought)
  return names.map((own) => own.flatMap((name) => found.get(name) ?? []))
}

/** The records that are there, by the name of their question. */
async function find(pool: pg.Pool, sought: ReadonlyMap<string, Sought>): Promise<ReadonlyMap<string, FoundRecord>> {
  const named = [...sought]
  const of = (what: FoundRecord['what']) => named.filter(([, one]) => one.what === what)
  const asked = { plant: of('plant'), tester: of('tester'), instrument: of('instrument') }
  const firms = (what: FoundRecord['what']): Buffer => uuidArray(asked[what].map(([, { firmId }]) => firmId))
  const codes = (what: FoundRecord['what']): Buffer => textArray(asked[what].map(([, { code }]) => code))
  const days = (what: FoundRecord['what']): Buffer => dateArray(asked[what].map(([, { testedOn }]) => testedOn))
  const { rows } = await pool.query<Row>({
    name: 'look_up',
    text: 'select * from ll.look_up($1, $2, $3, $4, $5, $6, $7, $8)',
    values: [
      ...[firms('plant'), codes('plant'), days('plant')],
      ...[firms('tester'), codes('tester')],
      ...[firms('instrument'), codes('instrument'), days('instrument')],
    ],
    rowMode: 'array',
  })
  return new Map(
    rows.map(([what, place, id, code, kind, region, revision, effectiveFrom, facts]) => [
      asked[what][place - 1]![0],
      { what, id, code, kind, region, revision, effectiveFrom, facts },
    ]),
  )
}
