/**
 * The bundle: one file with all it takes to verify tests without a network (decision 015).
 *
 * It is text in UTF-8, with each part behind a line that says what it is and how many bytes it has:
 *
 *     liftledger-bundle/v1
 *     checkpoint BYTES            a signed note
 *     earlier BYTES               optional: an earlier one, and
 *     consistency COUNT           the hashes, a line each, that show that the log continues it
 *     inclusion COUNT             hashes that show that the items are in the log (shared-proof.ts)
 *     items COUNT SHA256          of everything before this line
 *     test INDEX LEAF SALT BYTES BYTES BYTES    sheet as received, context, entry; each ends its own line
 *     findings INDEX LEAF SALT BYTES BYTES      what comparing a test with the record found (record-findings.ts), entry
 *     entry INDEX LEAF BYTES      another entry
 *     end
 *
 * Nothing is escaped or encoded: the bytes that were hashed stand there as they are, and a reader hashes them in place.
 * There is one spelling only; what differs by a byte is another bundle or none.
 */
import { sha256Hex } from '#sha256'
import { concat, toHex, utf8 } from './bytes.ts'
import { parseCheckpoint } from './checkpoint.ts'
import { leafHash } from './entry.ts'
import type { ReadHash } from './merkle.ts'
import { parseNote } from './note.ts'
import { sharedProof } from './shared-proof.ts'

export const BUNDLE_TITLE = 'liftledger-bundle/v1'
export const SALT_BYTES = 16

/** An entry of the log, and its place. */
export interface BundledEntry {
  readonly index: number
  /** Canonical bytes, as hashed. */
  readonly entry: Uint8Array
}

/** A test, or its revision: the entry, and what the hashes in it are over. */
export interface BundledTest extends BundledEntry {
  /** 16 bytes that stand before what is hashed. */
  readonly salt: Uint8Array
  /** The sheet, byte for byte as it was received. */
  readonly raw: Uint8Array
  /** Canonical bytes of the context. */
  readonly context: Uint8Array
}

/** What comparing a test with the record found: the entry, and what the hash in it is over. */
export interface BundledFindings extends BundledEntry {
  /** 16 bytes that stand before what is hashed. */
  readonly salt: Uint8Array
  /** Canonical bytes, see record-findings.ts. */
  readonly findings: Uint8Array
}

export type BundledItem = BundledEntry | BundledTest | BundledFindings

export interface BundleContent {
  /** Signed note of a checkpoint that covers all items. */
  readonly checkpoint: string
  /** An earlier checkpoint, to show that the log continues it. */
  readonly earlier?: { readonly checkpoint: string; readonly consistency: readonly Uint8Array[] }
  /** In any order, each entry once. */
  readonly items: readonly BundledItem[]
  /** Reads hashes of the tree of the checkpoint’s size. */
  readonly read: ReadHash
}

const NEWLINE = utf8('\n')
export const BUNDLE_END: Uint8Array = utf8('end\n')

export const isBundledTest = (item: BundledItem): item is BundledTest => 'raw' in item
const isBundledFindings = (item: BundledItem): item is BundledFindings => 'findings' in item

/**
 * A bundle. Throws `index-outside-tree` for an item beyond the checkpoint or twice, and as {@link parseNote} and
 * {@link parseCheckpoint} do for what is no checkpoint.
 */
export function makeBundle({ items, ...head }: BundleContent): Uint8Array {
  const sorted = [...items].sort((a, b) => a.index - b.index)
  const indexes = sorted.map(({ index }) => index)
  return concat([bundleHead({ ...head, indexes }), ...sorted.map(bundleItem), BUNDLE_END])
}

export interface BundleHead extends Omit<BundleContent, 'items'> {
  /** Of the items, ascending. */
  readonly indexes: readonly number[]
}

/** What stands before the items, for whoever writes a bundle piece by piece. */
export function bundleHead({ checkpoint, earlier, indexes, read }: BundleHead): Uint8Array {
  const { size } = parseCheckpoint(parseNote(checkpoint).body)
  const hashes = (name: string, list: readonly Uint8Array[]): string =>
    [`${name} ${list.length}`, ...list.map(toHex)].map((line) => `${line}\n`).join('')
  const note = (name: string, text: string): string => `${name} ${utf8(text).length}\n${text}`
  const before = utf8(
    `${BUNDLE_TITLE}\n${note('checkpoint', checkpoint)}` +
      (earlier ? note('earlier', earlier.checkpoint) + hashes('consistency', earlier.consistency) : '') +
      hashes('inclusion', sharedProof(indexes, size, read)),
  )
  return concat([before, utf8(`items ${indexes.length} ${sha256Hex(before)}\n`)])
}

/** One item, as it stands in a bundle between {@link bundleHead} and {@link BUNDLE_END}, in the order of the indexes. */
export function bundleItem(item: BundledItem): Uint8Array {
  const { index, entry } = item
  const leaf = toHex(leafHash(entry))
  if (isBundledTest(item)) return salted('test', item, leaf, [item.raw, item.context, entry])
  if (isBundledFindings(item)) return salted('findings', item, leaf, [item.findings, entry])
  return concat([utf8(`entry ${index} ${leaf} ${entry.length}\n`), entry, NEWLINE])
}

function salted(
  name: string,
  { index, salt }: BundledTest | BundledFindings,
  leaf: string,
  parts: readonly Uint8Array[],
): Uint8Array {
  if (salt.length !== SALT_BYTES) throw new RangeError(`The salt of entry ${index} has not ${SALT_BYTES} bytes.`)
  const lengths = parts.map(({ length }) => length).join(' ')
  return concat([
    utf8(`${name} ${index} ${leaf} ${toHex(salt)} ${lengths}\n`),
    ...parts.flatMap((part) => [part, NEWLINE]),
  ])
}
