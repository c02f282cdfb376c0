/** Submissions of all firms, written in groups: what comes while one batch commits makes up the next. */
import pg from 'pg'
import { type Aftermath, GroupCommit, type GroupCommitLimits } from '../db/group-commit.ts'
import { codeOf } from '../db/roles.ts'
import type { LedgerAppends } from '../ledger/append.ts'
import { findWritten, NotSendable, NotSent, ReplayInBatch, type Submission, type Written, write } from './write.ts'

/** `taken`: the idempotency key was used before, by another request; nothing was stored for this one. */
export type WriteOutcome = Written | 'taken'

export type SubmissionWriter = GroupCommit<Submission, WriteOutcome>

const LIMITS: GroupCommitLimits = {
  batchItemsMax: 128,
  batchBytesMax: 4 * 1024 * 1024,
  // With two, batches get half as large and gain nothing that was measurable.
  batchesMax: 1,
  waitingItemsMax: 1_024,
  waitingBytesMax: 32 * 1024 * 1024,
  waitMsMax: 10_000,
  settleMsMax: 15_000,
}

/** Each batch that is stored gets its receipts from `ledger`. */
export function groupWrites(
  pool: pg.Pool,
  ledger: LedgerAppends,
  {
    observe,
    ...limits
  }: Partial<GroupCommitLimits> & { readonly observe?: ((items: number, ms: number) => void) | undefined } = {},
): SubmissionWriter {
  return new GroupCommit<Submission, WriteOutcome>(
    {
      commit: (batch) => writeFresh(pool, ledger, batch),
      find: (batch) =>
        findWritten(
          pool,
          batch.map(({ id }) => id),
        ),
      aftermathOf,
      observe,
      bytesOf: ({ raw, context, entry }) => raw.length + context.length + entry.length + ROW_BYTES,
    },
    { ...LIMITS, ...limits },
  )
}

/** Of a row, beside sheet, context and entry. */
const ROW_BYTES = 1_000

/** Writes all but the replays among them. */
async function writeFresh(pool: pg.Pool, ledger: LedgerAppends, batch: readonly Submission[]): Promise<WriteOutcome[]> {
  const taken = new Set<Submission>()
  for (;;) {
    const fresh = batch.filter((one) => !taken.has(one))
    try {
      const written = withReceipts(ledger, fresh, await write(pool, fresh))
      let next = 0
      return batch.map((one) => (taken.has(one) ? 'taken' : written[next++]!))
    } catch (error) {
      if (!(error instanceof ReplayInBatch)) throw error
      const names = new Set(error.taken.map(({ firmId, key }) => `${firmId} ${key}`))
      const before = taken.size
      for (const one of fresh) if (names.has(`${one.firmId} ${one.idempotency?.key}`)) taken.add(one)
      // A key that was taken and is not any more: whoever held it has gone.
      if (taken.size === before) throw error
    }
  }
}

function withReceipts(
  ledger: LedgerAppends,
  fresh: readonly Submission[],
  written: readonly Written[],
): readonly Written[] {
  const receipts = ledger.appended(
    written.map(({ ledgerIndex }, place) => ({ index: ledgerIndex, leafHash: fresh[place]!.leafHash })),
  )
  return written.map((one, place) => {
    const receipt = receipts[place]
    return receipt === undefined ? one : { ...one, receipt }
  })
}

/** Cancelled by a time limit, a conflict of transactions, a deadlock: rolled back by the server, worth a second try. */
const WORTH_A_SECOND_TRY = new Set(['40001', '40P01', '55P03', '57014'])
/** Classes of SQLSTATE that say that the server, not the statement, was in trouble, but rolled back: 53 resources, 25 state. */
const SERVER_IN_TROUBLE = /^(53|25|58)/
/** The connection or the server itself went away (08, 57), or the server says itself that it doesn't know. */
const GONE = /^(08|57|40003)/

/** What a failed write leaves behind, by what it failed with. */
export function aftermathOf(error: unknown): Aftermath {
  if (error instanceof NotSent) return 'nothing'
  if (error instanceof ReplayInBatch) return 'again'
  const code = codeOf(error) ?? ''
  if (WORTH_A_SECOND_TRY.has(code)) return 'again'
  if (SERVER_IN_TROUBLE.test(code)) return 'nothing'
  // Said by the server. A code of the system, such as EPIPE, may look like one of the server's.
  if (error instanceof pg.DatabaseError && !GONE.test(code)) return 'one-item'
  if (error instanceof NotSendable) return 'one-item'
  return 'unknown'
}
