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

/** A question of one part alone: a code that is empty names nothing. */
interface Part {
  readonly firmId: string
  readonly plantCode?: string
  readonly testerCode?: string
  readonly instrumentCodes?: string
  readonly testedOn: string
}

/**
 * Plant, tester and instruments are asked for apart, each but once: the tests that a firm sends at one time are of many
 * plants, but of few testers with the same instruments.
 */
async function lookUpAll(pool: pg.Pool, all: readonly RecordQuestion[]): Promise<(readonly FoundRecord[])[]> {
  const places = new Map<string, number>()
  const parts: Part[] = []
  const placeOf = (name: string, part: Part): number => {
    const place = places.get(name) ?? parts.push(part) - 1
    places.set(name, place)
    return place
  }
  const asked = all.map(({ firmId, plantCode, testerCode, instrumentCodes, testedOn }) => {
    // No code holds a space.
    const whose = `${firmId} ${testedOn}`
    const codes = instrumentCodes.join(' ')
    return [
      placeOf(`${whose} plant ${plantCode}`, { firmId, plantCode, testedOn }),
      placeOf(`${whose} tester ${testerCode}`, { firmId, testerCode, testedOn }),
      placeOf(`${whose} instruments ${codes}`, { firmId, instrumentCodes: codes, testedOn }),
    ] as const
  })
  const found = await ask(pool, parts)
  // The same question gets the same answer.
  const answers = new Map<string, readonly FoundRecord[]>()
  return asked.map((three) => {
    const name = three.join(' ')
    const answer = answers.get(name) ?? three.flatMap((place) => found[place]!)
    answers.set(name, answer)
    return answer
  })
}

async function ask(pool: pg.Pool, parts: readonly Part[]): Promise<FoundRecord[][]> {
  const { rows } = await pool.query<Row>({
    name: 'look_up',
    text: 'select * from ll.look_up($1, $2, $3, $4, $5)',
    values: [
      uuidArray(parts.map(({ firmId }) => firmId)),
      textArray(parts.map(({ plantCode = '' }) => plantCode)),
      textArray(parts.map(({ testerCode = '' }) => testerCode)),
      textArray(parts.map(({ instrumentCodes = '' }) => instrumentCodes)),
      dateArray(parts.map(({ testedOn }) => testedOn)),
    ],
    rowMode: 'array',
  })
  const found: FoundRecord[][] = parts.map(() => [])
  for (const [place, what, id, code, kind, region, revision, effectiveFrom, facts] of rows) {
    found[place - 1]!.push({ what, id, code, kind, region, revision, effectiveFrom, facts })
  }
  return found
}
