/** Every change of the registry, kept beside the record it changes: who, when, what, from what to what. */
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'
import type { Principal } from '../http/principal.ts'
import type { Change, Deed } from './change-schemas.ts'

type Tx = Transaction<Database>

export type Noun = 'firm' | 'program' | 'plant' | 'tester' | 'instrument'

/** Who changes something, and when; made once a request. */
export interface Author {
  readonly principal: Principal
  readonly at: Date
  /** A new UUIDv7 for the change. */
  newId(): string
}

interface ChangeToRecord {
  readonly noun: Noun
  /** UUID of the record. */
  readonly subject: string
  readonly deed: Deed
  readonly changes: readonly Change[]
  /** UUID of the firm whose record it is; absent for what is shared, or kept by administrators. */
  readonly firmId?: string | undefined
}

/** Adds a change to the history of its record. In the transaction of the change itself, or not at all. */
export async function recordChange(tx: Tx, author: Author, change: ChangeToRecord): Promise<void> {
  await tx
    .insertInto('registry_change')
    .values({
      id: author.newId(),
      noun: change.noun,
      subject: change.subject,
      firm_id: change.firmId ?? null,
      by_firm: author.principal.firmId ?? null,
      deed: change.deed,
      changes: JSON.stringify(change.changes),
      key_id: author.principal.keyId,
      recorded_at: author.at,
    })
    .execute()
}

/** Differences of two states of a record, member by member; absent and null are the same. */
export function differences(
  before: Readonly<Record<string, unknown>>,
  after: Readonly<Record<string, unknown>>,
): Change[] {
  return Object.keys({ ...before, ...after }).flatMap((member): Change[] => {
    const [from, to] = [before[member] ?? undefined, after[member] ?? undefined]
    if (JSON.stringify(from) === JSON.stringify(to)) return []
    return [{ member, change: kindOf(from, to), ...(from !== undefined && { from }), ...(to !== undefined && { to }) }]
  })
}

/** Differences of members that are personal: that they changed and how, never what they were or are. */
export function personalDifferences(
  before: Readonly<Record<string, unknown>>,
  after: Readonly<Record<string, unknown>>,
): Change[] {
  return differences(before, after).map(({ member, change }) => ({ member, change, personal: true }))
}

const kindOf = (from: unknown, to: unknown): Change['change'] =>
  from === undefined ? 'set' : to === undefined ? 'removed' : 'changed'

/** Changes of one record, oldest first. */
export async function listChanges(tx: Tx, subject: string, { after, limit }: Part) {
  return tx
    .selectFrom('registry_change')
    .select(['id', 'deed', 'changes', 'key_id', 'by_firm', 'recorded_at'])
    .where('subject', '=', subject)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}
