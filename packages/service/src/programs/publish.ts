/**
 * Publishes a draft, with its entry in the ledger, in one transaction: as the role that appends to the ledger.
 *
 * Whoever calls has seen the draft, its checks and its dry run; the database looks once more that it is still that draft,
 * that no other version came first, and that the publisher is none of the authors.
 */
import type pg from 'pg'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import { callAppending, type StoredEntry, sealed } from '../ledger/append.ts'
import { peopleBytes } from './people.ts'
import type { RuleSetRow } from './rule-set-queries.ts'

export interface Publication {
  readonly row: RuleSetRow
  /** The last version published before; undefined for the first. */
  readonly lastVersion: number | undefined
  readonly publisher: string
  readonly keyId: string
  readonly at: Date
  readonly dryRunId: string
  readonly salt: Buffer
}

/** SQLSTATE of a draft that is another by now, or of a version that does not come next any more. */
export const OVERTAKEN = 'LL003'

/** Answers what was appended. Fails with {@link OVERTAKEN} where it is not as it was read. */
export async function publishRuleSet(pool: pg.Pool, publication: Publication): Promise<StoredEntry> {
  const { row, lastVersion, publisher, keyId, at, dryRunId, salt } = publication
  const people = sha256(salt, peopleBytes(row.authors, publisher))
  const entry = sealed({
    v: 1,
    kind: 'rule-set',
    at: at.toISOString(),
    program: toWire('program', row.program_id),
    ruleSet: toWire('rule set', row.id),
    version: row.version,
    contentSha256: row.content_sha256.toString('hex'),
    peopleSha256: people.toString('hex'),
  })
  const values = [
    ...[row.id, row.program_id, row.content_sha256, lastVersion ?? null, keyId, publisher, at, dryRunId],
    ...[salt, people],
  ]
  return (await callAppending(pool, { name: 'publish_rule_set', values }, entry))!
}
