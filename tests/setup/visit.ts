/** The invented visit SHEET-01: its sheet, changed where a test needs it, and its records, registered through the routes. */
import type { Context, Sheet } from '@liftledger/calc'
import { atPointer, goldenCase } from '@liftledger/calc/testing'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import type { Caller, TestService } from './service.ts'

export const { sheet: visitSheet, context: visitContext } = goldenCase('SHEET-01')

/** The sheet with other members at JSON Pointers, in their order; undefined takes the member away. */
export function sheetWith(changes: Readonly<Record<string, unknown>>): Sheet {
  const sheet = structuredClone(visitSheet)
  for (const [pointer, value] of Object.entries(changes)) {
    const cut = pointer.lastIndexOf('/')
    const parent = atPointer(sheet, pointer.slice(0, cut)) as Record<string, unknown>
    if (parent === undefined) throw new Error(`The sheet has nothing at ${pointer.slice(0, cut)}.`)
    const name = pointer.slice(cut + 1)
    if (value === undefined) delete parent[name]
    else parent[name] = structuredClone(value)
  }
  return sheet
}

/** Wire ids of what was registered; instruments by code. */
export interface Registered {
  readonly plantId: string
  readonly testerId: string
  readonly instrumentIds: Readonly<Record<string, string>>
}

/** Before the visit, so that the records hold on its day. */
const EFFECTIVE_FROM = '2025-01-01'

/** A firm registers plant, tester and instruments of a context, so that its sheet leans on that very context. */
export async function registerContext(
  service: TestService,
  caller: Caller,
  context: Context = visitContext,
): Promise<Registered> {
  const create = async (noun: 'plants' | 'testers' | 'instruments', body: object): Promise<string> => {
    const answer = await service.call<{ id: string }>(caller, `POST /v1/${noun}`, { body })
    if (answer.status !== 201) throw new Error(`${noun} answered ${answer.status}: ${JSON.stringify(answer.body)}`)
    return answer.body.id
  }
  const { equipment, ...plant } = context.plant
  const { revision: _, ...facts } = equipment ?? { revision: 0 }
  const plantId = await create('plants', { ...plant, ...(equipment && { equipment: facts }) })
  const testerId = await create('testers', context.tester)
  const instrumentIds: Record<string, string> = {}
  for (const instrument of context.instruments) {
    instrumentIds[instrument.code] = await create('instruments', { ...instrument, effectiveFrom: EFFECTIVE_FROM })
  }
  return { plantId, testerId, instrumentIds }
}

export interface StoredRows {
  readonly tests: number
  readonly contexts: number
  readonly entries: number
  readonly keys: number
}

/** How many rows submissions have left, counted past every wall. */
export async function storedRows({ databaseUrl }: TestService): Promise<StoredRows> {
  return onConnection(databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<StoredRows>(
      `select (select count(*)::int from ll.field_test) as tests, (select count(*)::int from ll.context_snapshot) as contexts,
              (select count(*)::int from ll.ledger_entry where kind <> 'signing-key') as entries, (select count(*)::int from ll.idempotency) as keys`,
    )
    return rows[0]!
  })
}
