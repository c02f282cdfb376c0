/**
 * Writes submissions: any number in one call of one database function, in one transaction, all or none.
 *
 * Each column of the batch travels as one binary array. Nothing is decided here: whoever queues a
 * submission has checked, under the firm's own policies, that plant and tester are the firm's to name.
 */
import type pg from 'pg'
import {
  byteaArray,
  dateArray,
  float8Array,
  jsonArray,
  textArray,
  timestamptzArray,
  uuidArray,
} from '../db/binary-array.ts'
import { codeOf } from '../db/roles.ts'
import type { StatisticsPart } from '../statistics/rollup.ts'

/** Main quantities of a test in SI; absent where the sheet doesn't resolve them. */
export interface MainQuantities {
  readonly flowM3S?: number
  readonly headM?: number
  readonly liftM?: number
  readonly inputPowerW?: number
  readonly efficiency?: number
  /** Half-width of the 95 % interval of `efficiency`. */
  readonly efficiencyU?: number
  readonly specificCapacityM2S?: number
  readonly energyPerVolumeJM3?: number
}

/** A finding as kept with the test; message and remedy come back by evaluating again. */
export interface StoredFinding {
  readonly id: string
  readonly severity: string
  readonly run?: number
  readonly place: string
}

export interface IdempotencyKey {
  readonly key: string
  /** SHA-256 over operation, path and raw body. */
  readonly fingerprint: Buffer
  readonly operation: string
}

/** One test to be written; everything about it is decided. Ids are UUIDs, hashes SHA-256. */
export interface Submission {
  readonly id: string
  readonly firmId: string
  readonly plantId: string
  readonly testerId: string
  /** `YYYY-MM-DD`. */
  readonly testedOn: string
  readonly receivedAt: Date
  readonly edition: string
  /** The body as received, and its plain hash. */
  readonly raw: Buffer
  readonly rawSha256: Buffer
  /** 16 random bytes, prefixed to what is hashed for the ledger so that a sheet can't be found by guessing. */
  readonly salt: Buffer
  /** Canonical JSON of the context, and its plain hash. */
  readonly context: Buffer
  readonly contextSha256: Buffer
  readonly evaluationSha256: Buffer
  readonly soundness: 'sound' | 'in-question' | 'unsound'
  readonly findings: readonly StoredFinding[]
  readonly main: MainQuantities
  readonly statistics: StatisticsPart
  readonly keyId: string
  readonly idempotency?: IdempotencyKey
  /** Canonical JSON of the ledger entry, and the hash of its leaf. */
  readonly entry: Buffer
  readonly leafHash: Buffer
}

export interface Written {
  readonly id: string
  /** Place in the ledger, from 0. */
  readonly ledgerIndex: number
  /** The log's receipt for the entry, where it was given with the write. */
  readonly receipt?: string
}

export interface TakenKey {
  readonly firmId: string
  readonly key: string
}

/** Some idempotency keys of a batch were used before. Nothing was written; take these out and write the rest. */
export class ReplayInBatch extends Error {
  readonly taken: readonly TakenKey[]
  constructor(taken: readonly TakenKey[]) {
    super(`${taken.length} of the batch's idempotency keys were used before; nothing was written`)
    this.name = 'ReplayInBatch'
    this.taken = taken
  }
}

/** SQLSTATE of an idempotency key that was used before. */
export const REPLAY = 'LL001'

/**
 * Writes the batch and answers, in its order, where each test stands in the ledger. When it returns, the tests are durable.
 *
 * @throws {ReplayInBatch} when keys were used before, {@link NotSent} when there was no connection. Any other error is
 * the database's; then nothing was written either, unless the connection broke, which leaves that open: then
 * {@link findWritten} says what became of it.
 */
export async function write(pool: pg.Pool, batch: readonly Submission[]): Promise<Written[]> {
  if (batch.length === 0) return []
  const values = packed(batch)
  const client = await connect(pool)
  let broken: Error | undefined
  try {
    const { rows } = await client.query<{ first: number }>({ name: 'write_batch', text: CALL, values })
    // A pool may hand out 64-bit integers as text.
    const first = Number(rows[0]!.first)
    return batch.map(({ id }, place) => ({ id, ledgerIndex: first + place }))
  } catch (error) {
    if (codeOf(error) !== REPLAY) {
      broken = error as Error
      throw error
    }
  } finally {
    // A connection on which something went wrong is not used again.
    client.release(broken)
  }
  // On any connection: of this batch nothing was written.
  throw new ReplayInBatch(await takenKeys(pool, batch))
}

/** What is in the batch can't be sent as it is, by a fault of one of its items: nothing was sent. */
export class NotSendable extends Error {
  constructor(cause: unknown) {
    super(`the batch can’t be packed, nothing was sent: ${(cause as Error).message}`, { cause })
    this.name = 'NotSendable'
  }
}

function packed(batch: readonly Submission[]): Buffer[] {
  try {
    refuseEqualKeys(batch)
    return columns(batch)
  } catch (error) {
    throw new NotSendable(error)
  }
}

/** No connection was to be had: nothing was sent, so nothing was written. */
export class NotSent extends Error {
  constructor(cause: unknown) {
    super('no connection to the database; nothing was sent', { cause })
    this.name = 'NotSent'
  }
}

async function connect(pool: pg.Pool): Promise<pg.PoolClient> {
  try {
    return await pool.connect()
  } catch (error) {
    throw new NotSent(error)
  }
}

/** Where tests stand in the ledger, in the order of the ids; undefined for those that aren't there. */
export async function findWritten(pool: pg.Pool, ids: readonly string[]): Promise<(Written | undefined)[]> {
  const { rows } = await pool.query<{ subject: string; index: number }>(
    `select subject, index from ll.ledger_entry where subject = any ($1) and kind = 'test'`,
    [uuidArray(ids)],
  )
  const places = new Map(rows.map(({ subject, index }) => [subject, Number(index)]))
  return ids.map((id) => {
    const ledgerIndex = places.get(id)
    return ledgerIndex === undefined ? undefined : { id, ledgerIndex }
  })
}

/** The database could only say "used before", and then find no such key: two requests with one key are joined before. */
function refuseEqualKeys(batch: readonly Submission[]): void {
  const seen = new Set<string>()
  for (const { firmId, idempotency } of batch) {
    if (!idempotency) continue
    const scoped = `${firmId} ${idempotency.key}`
    if (seen.has(scoped)) throw new RangeError(`Idempotency key ${idempotency.key} stands twice in one batch.`)
    seen.add(scoped)
  }
}

/** Parameters of ll.write_batch, in the order of its declaration. */
function columns(batch: readonly Submission[]): Buffer[] {
  const contexts = [
    ...new Map(batch.map((one) => [`${one.firmId} ${one.contextSha256.toString('hex')}`, one])).values(),
  ]
  const keyed = batch.filter((one) => one.idempotency)
  return [
    uuidArray(batch.map((one) => one.id)),
    uuidArray(batch.map((one) => one.firmId)),
    uuidArray(batch.map((one) => one.plantId)),
    uuidArray(batch.map((one) => one.testerId)),
    dateArray(batch.map((one) => one.testedOn)),
    timestamptzArray(batch.map((one) => one.receivedAt)),
    textArray(batch.map((one) => one.edition)),
    byteaArray(batch.map((one) => one.raw)),
    byteaArray(batch.map((one) => one.rawSha256)),
    byteaArray(batch.map((one) => one.salt)),
    byteaArray(batch.map((one) => one.contextSha256)),
    byteaArray(batch.map((one) => one.evaluationSha256)),
    textArray(batch.map((one) => one.soundness)),
    jsonArray(batch.map((one) => JSON.stringify(one.findings))),
    float8Array(batch.map((one) => one.main.flowM3S)),
    float8Array(batch.map((one) => one.main.headM)),
    float8Array(batch.map((one) => one.main.liftM)),
    float8Array(batch.map((one) => one.main.inputPowerW)),
    float8Array(batch.map((one) => one.main.efficiency)),
    float8Array(batch.map((one) => one.main.efficiencyU)),
    float8Array(batch.map((one) => one.main.specificCapacityM2S)),
    float8Array(batch.map((one) => one.main.energyPerVolumeJM3)),
    textArray(batch.map((one) => one.keyId)),
    byteaArray(batch.map((one) => one.leafHash)),
    byteaArray(batch.map((one) => one.entry)),

    uuidArray(contexts.map((one) => one.firmId)),
    byteaArray(contexts.map((one) => one.contextSha256)),
    uuidArray(contexts.map((one) => one.plantId)),
    byteaArray(contexts.map((one) => one.context)),

    uuidArray(keyed.map((one) => one.firmId)),
    textArray(keyed.map((one) => one.idempotency?.key)),
    byteaArray(keyed.map((one) => one.idempotency?.fingerprint)),
    textArray(keyed.map((one) => one.idempotency?.operation)),
    uuidArray(keyed.map((one) => one.id)),

    textArray(batch.map((one) => one.statistics.groups)),
    float8Array(batch.map((one) => one.statistics.standingLevelM)),
    float8Array(batch.map((one) => one.statistics.annualEnergyJ)),
    float8Array(batch.map((one) => one.statistics.annualVolumeM3)),
    float8Array(batch.map((one) => one.statistics.costPerVolume)),
  ]
}

const PARAMETERS = 39
const CALL = `select ll.write_batch(${Array.from({ length: PARAMETERS }, (_, place) => `$${place + 1}`).join(', ')}) as first`

async function takenKeys(pool: pg.Pool, batch: readonly Submission[]): Promise<TakenKey[]> {
  const keyed = batch.filter((one) => one.idempotency)
  const { rows } = await pool.query<TakenKey>(
    `select firm_id as "firmId", key from ll.idempotency
     where (firm_id, key) in (select * from unnest($1::uuid[], $2::text[]))`,
    [uuidArray(keyed.map((one) => one.firmId)), textArray(keyed.map((one) => one.idempotency?.key))],
  )
  return rows
}
