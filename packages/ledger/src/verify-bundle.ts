/**
 * Verifies a bundle: signature → inclusion → sheet and context → replay → evaluation, and tells all that is wrong.
 */
import { sha256, sha256Hex } from '#sha256'
import { SALT_BYTES } from './bundle.ts'
import type { BundleReport, Describe, Found, LaterEntry, Replay, VerifiedTest, VerifyOptions } from './bundle-report.ts'
import { copyHex, equalBytes, fromHexAt, standsAt, toBase64, toHex } from './bytes.ts'
import type { Checkpoint } from './checkpoint.ts'
import { type VerificationCode, VerificationError } from './errors.ts'
import { caveatsOf, laterEntry, withLater } from './later-entries.ts'
import { HASH_BYTES } from './merkle.ts'
import { BundleError, HASH_LINE, linesOf, type ReadBundle, type ReadItem, readBundle, textOf } from './read-bundle.ts'
import { foundInRecord } from './record-findings.ts'
import { rootOfShared, type SharedProof } from './shared-proof.ts'
import { entryMembers, type TestFacts, testFacts } from './test-entry.ts'
import { attempt, verifyCheckpoint, verifyContinuity } from './verify-log.ts'

const LEAF_PREFIX = Uint8Array.of(0x00)
/** Up to so many tests are described without being evaluated again: of more, nobody reads the lines. */
const DESCRIBED_MAX = 50
const FINDINGS = 'record-findings'
const OF_KIND = {
  test: 'the entry of a test',
  findings: 'the entry of a comparison with the record',
  entry: 'an entry of the log',
} as const

/** What has been seen so far. */
interface Tally {
  readonly bytes: Uint8Array
  readonly found: Found[]
  readonly tests: VerifiedTest[]
  readonly kinds: Record<string, number>
  /** Of entries that are as they were written. */
  readonly later: LaterEntry[]
}

/** Verifies a bundle. Never throws for what the file holds: what is wrong with it stands in the report. */
export async function verifyBundle(file: Uint8Array, options: VerifyOptions): Promise<BundleReport> {
  // Of a Buffer each part would be a Buffer too, which takes longer to make than to hash.
  const bytes = new Uint8Array(file.buffer, file.byteOffset, file.length)
  const tally: Tally = { bytes, found: [], tests: [], kinds: Object.create(null) as Record<string, number>, later: [] }
  const { found } = tally
  let bundle: ReadBundle
  try {
    bundle = readBundle(bytes)
  } catch (error) {
    if (!(error instanceof BundleError)) throw error
    found.push({ code: error.code, message: error.message, byte: error.byte })
    return reportOf(tally, {})
  }
  if (!bundle.headIntact) {
    found.push({
      code: 'bundle-damaged',
      message:
        'The part of the file before the items does not have the hash that is written behind it: it was changed.',
    })
  }
  const signed = await verifyCheckpoint(bundle.checkpoint, options.keys, found)
  const inItems = verifyItems(bundle.items, options, tally)
  for (const problem of inItems.entries) found.push(problem)
  if (signed !== undefined) verifyInclusionOf(bundle, signed.checkpoint, inItems.entries.length === 0, tally)
  const continues = signed && (await verifyContinuity(bundle, signed.checkpoint, options, found))
  for (const problem of inItems.contents) found.push(problem)
  if (signed === undefined) return reportOf(tally, {})
  const { origin, size, root } = signed.checkpoint
  return reportOf(tally, {
    checkpoint: { origin, size, root: toHex(root), rootBase64: toBase64(root), signatures: signed.signatures },
    ...(continues !== undefined && { continues }),
  })
}

function reportOf(
  { bytes, found, tests: verified, kinds, later }: Tally,
  log: Pick<BundleReport, 'checkpoint' | 'continues'>,
): BundleReport {
  const tests = withLater(verified, later)
  let [replayed, identical] = [0, 0]
  for (const { replay } of tests) {
    if (replay !== 'not-done') replayed++
    if (replay === 'identical') identical++
  }
  const lines = linesOf(
    bytes,
    found.flatMap(({ byte }) => byte ?? []),
  )
  const entries = Object.values(kinds).reduce((sum, n) => sum + n, 0)
  return {
    ok: found.length === 0,
    problems: found.map(({ byte, ...problem }) =>
      byte === undefined ? problem : { ...problem, line: lines.get(byte)! },
    ),
    ...log,
    // Where the log itself is in doubt, so is each of its tests.
    tests: found.some(({ index }) => index === undefined) ? tests.map((test) => ({ ...test, ok: false })) : tests,
    counts: {
      tests: tests.length,
      otherEntries: entries - tests.length,
      kinds,
      replayed,
      identical,
      caveats: caveatsOf(tests),
      bytes: bytes.length,
    },
  }
}

/** The entry of an item, without its newline. */
const entryOf = (bytes: Uint8Array, { entryAt, end }: ReadItem): Uint8Array => bytes.subarray(entryAt, end - 1)

interface ItemProblems {
  /** Entries that don’t have the leaf hash that is stated for them. */
  readonly entries: Found[]
  /** Sheets, contexts and evaluations. */
  readonly contents: Found[]
}

/** Goes through the items once: their bytes come into reach once. */
function verifyItems(items: readonly ReadItem[], { replay, describe }: VerifyOptions, tally: Tally): ItemProblems {
  const entries: Found[] = []
  const contents: Found[] = []
  const { bytes, kinds, tests, later } = tally
  const few = items.reduce((count, { kind }) => (kind === 'test' ? count + 1 : count), 0) <= DESCRIBED_MAX
  const work: Work = { replay, describe, few, bytes, found: contents }
  for (const item of items) {
    const { index, byte, leafAt } = item
    const entry = entryOf(bytes, item)
    const intact = standsAt(bytes, leafAt, sha256Hex(LEAF_PREFIX, entry))
    const read = readEntry(entry, item)
    if (read === undefined) {
      const what = OF_KIND[item.kind]
      contents.push({ code: 'entry-malformed', message: `Entry ${index} is not spelled as ${what}.`, index, byte })
    } else {
      kinds[read.kind] = (kinds[read.kind] ?? 0) + 1
      if (read.facts !== undefined) tests.push(verifyTest(item, read.facts, intact, work))
      const said = intact && read.members !== undefined ? laterOf(item, read.members, work) : undefined
      if (said !== undefined) later.push(said)
    }
    if (intact) continue
    const message = `Entry ${index} does not have the leaf hash that stands in the line before it: one of the two was changed.`
    const test = read?.facts?.subject
    entries.push({ code: 'entry-changed', message, index, byte, ...(test !== undefined && { test }) })
  }
  return { entries, contents }
}

interface ReadEntry {
  readonly kind: string
  readonly facts?: TestFacts
  /** Of all but a plain test, which says nothing beside its facts. */
  readonly members?: Readonly<Record<string, unknown>>
}

/** What an entry says; undefined if it isn’t spelled as what it stands for. */
function readEntry(entry: Uint8Array, item: ReadItem): ReadEntry | undefined {
  const text = textOf(entry)
  if (text === undefined) return undefined
  if (item.kind === 'test') {
    const facts = testFacts(text)
    if (facts === undefined || facts.kind === 'test') return facts && { kind: facts.kind, facts }
    return { kind: facts.kind, facts, members: { ...facts } }
  }
  const members = entryMembers(text)
  if (typeof members?.kind !== 'string') return undefined
  return item.kind === 'findings' && members.kind !== FINDINGS ? undefined : { kind: members.kind, members }
}

/** What an entry says of what became of a test, or was found of it; undefined for one that says nothing of it. */
function laterOf(
  item: ReadItem,
  members: Readonly<Record<string, unknown>>,
  { bytes, found }: Work,
): LaterEntry | undefined {
  const { index, byte, kind, saltAt, rawAt, contextAt } = item
  if (members.kind !== FINDINGS) return laterEntry(index, members)
  const test = typeof members.subject === 'string' ? members.subject : ''
  const tell = (code: VerificationCode, message: string): undefined => {
    found.push({ code, message, index, test, byte })
  }
  if (kind !== 'findings') {
    const message = `What comparing test '${test}' with the record found is not in the file; entry ${index} holds its hash.`
    return tell('findings-missing', message)
  }
  const text = bytes.subarray(rawAt, contextAt - 1)
  const asRecorded = sha256Hex(fromHexAt(bytes, saltAt, SALT_BYTES), text) === members.findingsSha256
  const beside = asRecorded ? foundInRecord(textOf(text) ?? '', test) : undefined
  if (beside === undefined) {
    const message = `What comparing test '${test}' with the record found is not what was recorded: its hash in the log is another.`
    return tell('findings-changed', message)
  }
  const at = typeof members.at === 'string' ? members.at : ''
  return beside.length === 0 ? undefined : { kind: FINDINGS, index, at, test, found: beside }
}

/** Whether the stated leaf hashes lead to the root; where one was found wrong, whether the entries themselves do. */
function verifyInclusionOf(
  { items, inclusion }: ReadBundle,
  { size, root }: Checkpoint,
  entriesOk: boolean,
  { bytes, found }: Tally,
): void {
  const proof = {
    indexes: items.map(({ index }) => index),
    size,
    hash: (place: number, target: Uint8Array, at: number) =>
      copyHex(bytes, inclusion.at + place * HASH_LINE, HASH_BYTES, target, at),
    count: inclusion.count,
  }
  const stated: SharedProof['leaf'] = (place, target, at) =>
    copyHex(bytes, items[place]!.leafAt, HASH_BYTES, target, at)
  const own: SharedProof['leaf'] = (place, target, at) =>
    target.set(sha256(LEAF_PREFIX, entryOf(bytes, items[place]!)), at)
  const leadsToRoot = (leaf: SharedProof['leaf']): boolean => equalBytes(rootOfShared({ ...proof, leaf }), root)
  attempt(found, () => {
    if (leadsToRoot(stated)) return
    if (!entriesOk && leadsToRoot(own)) return
    throw new VerificationError(
      'inclusion-wrong',
      `The ${items.length} entries do not lead to the root of the log of ${size}: one of them, its place or a hash of the proof is not what it was.`,
    )
  })
}

interface Work {
  readonly replay: Replay | undefined
  readonly describe: Describe | undefined
  /** So few tests that each is described. */
  readonly few: boolean
  readonly bytes: Uint8Array
  readonly found: Found[]
}

/** Sheet and context against their hashes, and the evaluation of both against its own. */
function verifyTest(
  { index, byte, saltAt, rawAt, contextAt, entryAt }: ReadItem,
  facts: TestFacts,
  intact: boolean,
  { replay, describe, few, bytes, found }: Work,
): VerifiedTest {
  const { subject: id, kind, firm, at, edition } = facts
  const salt = fromHexAt(bytes, saltAt, SALT_BYTES)
  const raw = bytes.subarray(rawAt, contextAt - 1)
  const context = bytes.subarray(contextAt, entryAt - 1)
  const before = found.length
  const tell: Tell = (code, message) => found.push({ code, message, index, test: id, byte })
  const asReceived = sha256Hex(salt, raw) === facts.rawSha256
  if (!asReceived) {
    tell('raw-changed', `The sheet of test '${id}' is not the one that was received: its hash in the log is another.`)
  }
  if (sha256Hex(salt, context) !== facts.contextSha256) {
    tell(
      'context-changed',
      `Certificates, equipment or qualification with test '${id}' are not those it was evaluated with: their hash in the log is another.`,
    )
  }
  // Of other bytes than those received, an evaluation would say nothing.
  const { outcome, evaluation }: Replayed =
    replay === undefined || found.length > before
      ? { outcome: 'not-done' }
      : replayed(() => replay(raw, context, edition), salt, facts, tell)
  const told = describe !== undefined && asReceived && (few || evaluation !== undefined)
  const details = told ? describedBy(() => describe(raw, evaluation)) : undefined
  const ok = intact && found.length === before
  return { index, kind, id, firm, at, edition, replay: outcome, ok, ...(details && { details }) }
}

/** What is no sheet has no details; that it doesn’t evaluate was told before. */
function describedBy(describe: () => VerifiedTest['details']): VerifiedTest['details'] {
  try {
    return describe()
  } catch {
    return undefined
  }
}

type Tell = (code: VerificationCode, message: string) => void

interface Replayed {
  readonly outcome: VerifiedTest['replay']
  /** The one that was recorded. */
  readonly evaluation?: Uint8Array
}

function replayed(
  evaluate: () => Uint8Array | undefined,
  salt: Uint8Array,
  { subject, edition, evaluationSha256 }: TestFacts,
  tell: Tell,
): Replayed {
  let evaluation: Uint8Array | undefined
  try {
    evaluation = evaluate()
  } catch (cause) {
    const reason = cause instanceof Error ? cause.message : String(cause)
    tell('replay-failed', `Test '${subject}' can not be evaluated again: ${reason}`)
    return { outcome: 'differs' }
  }
  if (evaluation === undefined) {
    tell(
      'edition-unknown',
      `Test '${subject}' was evaluated under edition ${edition}, which is not known here; a newer verifier may know it.`,
    )
    return { outcome: 'not-done' }
  }
  if (sha256Hex(salt, evaluation) === evaluationSha256) return { outcome: 'identical', evaluation }
  tell(
    'evaluation-differs',
    `Test '${subject}', evaluated again under edition ${edition}, gives something else than was recorded.`,
  )
  return { outcome: 'differs' }
}
