/** What is asked of rule sets: as a program its own, drafts too; as everybody else what is published. */
import { canonicalBytes } from '@liftledger/ledger'
import type { Insertable, Selectable, Transaction } from 'kysely'
import type pg from 'pg'
import type { Database, RuleSet as RuleSetTable } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'
import { toWire } from '../http/ids.ts'
import { sha256 } from '../http/sha256.ts'
import type { PublishedRuleSet, RuleSet } from './rule-set-schemas.ts'
import type { RuleSetContent } from './rules/schema.ts'

type Tx = Transaction<Database>
export type RuleSetRow = Pick<Selectable<RuleSetTable>, (typeof SHOWN)[number]>

const PUBLIC = ['id', 'program_id', 'version', 'content', 'content_sha256', 'published_at', 'ledger_index'] as const
const SHOWN = [
  ...PUBLIC,
  ...(['in_force_from', 'in_force_to', 'paused_from', 'authors', 'author_keys'] as const),
  ...(['drafted_at', 'changed_at', 'publisher'] as const),
] as const

export const contentOf = ({ content }: { readonly content: Buffer }): RuleSetContent =>
  JSON.parse(content.toString('utf8')) as RuleSetContent

/** Columns that follow from the rules. */
export function contentColumns(rules: RuleSetContent) {
  const content = Buffer.from(canonicalBytes(rules))
  return {
    content,
    content_sha256: sha256(content),
    version: rules.version,
    in_force_from: rules.inForceFrom,
    in_force_to: rules.inForceTo,
    paused_from: rules.pausedFrom ?? null,
  }
}

export const toRuleSet = (row: RuleSetRow): RuleSet => ({
  id: toWire('rule set', row.id),
  programId: toWire('program', row.program_id),
  version: row.version,
  state: row.published_at === null ? 'draft' : 'published',
  contentSha256: row.content_sha256.toString('hex'),
  authors: row.authors,
  draftedAt: row.drafted_at.toISOString(),
  changedAt: row.changed_at.toISOString(),
  ...(row.publisher !== null && { publisher: row.publisher }),
  ...(row.published_at !== null && { publishedAt: row.published_at.toISOString() }),
  ...(row.ledger_index !== null && { ledgerIndex: row.ledger_index }),
  content: contentOf(row),
})

export async function insertDraft(tx: Tx, row: Insertable<RuleSetTable>): Promise<void> {
  await tx.insertInto('rule_set').values(row).execute()
}

export async function findRuleSet(tx: Tx, id: string): Promise<RuleSetRow | undefined> {
  return tx.selectFrom('rule_set').select(SHOWN).where('id', '=', id).executeTakeFirst()
}

/** The rule set, locked until the end of the transaction. */
export async function lockRuleSet(tx: Tx, id: string): Promise<RuleSetRow | undefined> {
  return tx.selectFrom('rule_set').select(SHOWN).where('id', '=', id).forUpdate().executeTakeFirst()
}

export async function changeDraft(tx: Tx, { id, ...row }: RuleSetRow): Promise<void> {
  const {
    content,
    content_sha256,
    version,
    in_force_from,
    in_force_to,
    paused_from,
    authors,
    author_keys,
    changed_at,
  } = row
  await tx
    .updateTable('rule_set')
    .set({
      content,
      content_sha256,
      version,
      in_force_from,
      in_force_to,
      paused_from,
      authors,
      author_keys,
      changed_at,
    })
    .where('id', '=', id)
    .execute()
}

export async function listRuleSets(tx: Tx, { after, limit }: Part): Promise<RuleSetRow[]> {
  return tx
    .selectFrom('rule_set')
    .select(SHOWN)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

/** Published versions of a program, oldest first, as the reader sees them. */
export interface PublishedVersion {
  readonly id: string
  readonly contentSha256: string
  readonly content: RuleSetContent
  readonly version: number
  readonly inForceFrom: string
  readonly inForceTo: string
  readonly pausedFrom?: string
}

export async function publishedVersions(tx: Tx, programId: string): Promise<PublishedVersion[]> {
  const rows = await tx
    .selectFrom('rule_set')
    .select(['id', 'content', 'content_sha256'])
    .where('program_id', '=', programId)
    .where('published_at', 'is not', null)
    .orderBy('version')
    .execute()
  return rows.map((row) => {
    const content = contentOf(row)
    const { version, inForceFrom, inForceTo, pausedFrom } = content
    const days = { version, inForceFrom, inForceTo, ...(pausedFrom !== undefined && { pausedFrom }) }
    return { id: row.id, contentSha256: row.content_sha256.toString('hex'), content, ...days }
  })
}

type PublicRow = Pick<RuleSetRow, (typeof PUBLIC)[number]>

const toPublished = (row: PublicRow): PublishedRuleSet => ({
  id: toWire('rule set', row.id),
  programId: toWire('program', row.program_id),
  version: row.version,
  contentSha256: row.content_sha256.toString('hex'),
  publishedAt: row.published_at!.toISOString(),
  ledgerIndex: row.ledger_index!,
  content: contentOf(row),
})

/** As everybody, who needs no key: through the pool of what is public. */
export async function listPublished(
  pool: pg.Pool,
  programId: string,
  { after, limit }: Part<number>,
): Promise<PublishedRuleSet[]> {
  const { rows } = await pool.query<PublicRow>({
    name: 'published_rule_sets',
    text: `select ${PUBLIC.join(', ')} from rule_set where program_id = $1 and published_at is not null and version > $2
           order by version limit $3`,
    values: [programId, after ?? 0, limit],
  })
  return rows.map(toPublished)
}

export async function findPublished(
  pool: pg.Pool,
  programId: string,
  version: number,
): Promise<PublishedRuleSet | undefined> {
  const [found] = await listPublished(pool, programId, { after: version - 1, limit: 1 })
  return found?.version === version ? found : undefined
}
