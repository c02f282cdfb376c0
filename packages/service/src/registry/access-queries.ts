/** What is asked of requests for access to plants; a firm sees its own, an administrator all. */
import type { Selectable, Transaction } from 'kysely'
import type { AccessDecision, AccessRequest, Database } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

type Tx = Transaction<Database>

const requests = (tx: Tx) =>
  tx
    .selectFrom('access_request as request')
    .leftJoin('access_decision as decision', 'decision.request_id', 'request.id')
    .selectAll('request')
    .select(['decision.outcome', 'decision.reason', 'decision.decided_at'])

export type AccessRequestRow = Awaited<ReturnType<ReturnType<typeof requests>['execute']>>[number]
export type RequestState = 'open' | 'granted' | 'declined'

export async function insertAccessRequest(tx: Tx, row: Selectable<AccessRequest>): Promise<void> {
  await tx.insertInto('access_request').values(row).execute()
}

export async function findAccessRequest(tx: Tx, id: string): Promise<AccessRequestRow | undefined> {
  return requests(tx).where('request.id', '=', id).executeTakeFirst()
}

/** Requests of a firm about one plant that nobody has decided yet. */
export async function findOpenRequest(
  tx: Tx,
  firmId: string,
  plantCode: string,
): Promise<AccessRequestRow | undefined> {
  return requests(tx)
    .where('request.firm_id', '=', firmId)
    .where('request.plant_code', '=', plantCode)
    .where('decision.outcome', 'is', null)
    .executeTakeFirst()
}

export async function listAccessRequests(
  tx: Tx,
  { after, limit }: Part,
  state: RequestState | undefined,
): Promise<AccessRequestRow[]> {
  return requests(tx)
    .$if(state === 'open', (query) => query.where('decision.outcome', 'is', null))
    .$if(state !== undefined && state !== 'open', (query) => query.where('decision.outcome', '=', state!))
    .$if(after !== undefined, (query) => query.where('request.id', '>', after!))
    .orderBy('request.id')
    .limit(limit)
    .execute()
}

/** Decides; answers whether this was the first decision. */
export async function insertDecision(tx: Tx, row: Selectable<AccessDecision>): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('access_decision')
    .values(row)
    .onConflict((conflict) => conflict.doNothing())
    .executeTakeFirst()
  return Number(numInsertedOrUpdatedRows) === 1
}
