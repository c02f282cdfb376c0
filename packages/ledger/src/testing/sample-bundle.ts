/** An invented log and bundles of it, for tests: the way in is the same as the service’s, {@link makeBundle}. */
import { type BundledEntry, type BundledFindings, type BundledTest, makeBundle } from '../bundle.ts'
import { utf8 } from '../bytes.ts'
import { canonicalBytes } from '../canonical-json.ts'
import { checkpointBody } from '../checkpoint.ts'
import { type Entry, entryBytes, leafHash } from '../entry.ts'
import { consistencyProof, nodeHash, type ReadHash, rootAt } from '../merkle.ts'
import { cosign, signNote } from '../note.ts'
import { basisSha256, recordFindingsBytes } from '../record-findings.ts'
import { sha256, sha256Hex } from '../sha256.node.ts'
import { ed25519Signer } from '../signing.ts'

export const ORIGIN = 'ledger.ambermoor.example/log'
const seed = (name: string): Uint8Array => sha256(utf8(name))
export const logSigner = ed25519Signer(ORIGIN, seed('log'))
export const witnessSigner = ed25519Signer('witness.ambermoor.example', seed('witness'), 4)

/** One test to put into the log: what was received, and what came of it. */
export interface SampleTest {
  readonly raw: Uint8Array
  readonly context: Uint8Array
  /** Canonical bytes. */
  readonly evaluation: Uint8Array
  readonly edition: string
}

export const FIRM = 'frm_01JCP6WYRX0000000000000000'
export const testId = (n: number): string => `tst_01JCP6WYRX${String(n).padStart(16, '0')}`

/** Small sheets that are no sheets: for what does not replay. */
export const plainTests = (count: number): SampleTest[] =>
  Array.from({ length: count }, (_, n) => ({
    raw: utf8(`{ "plant": "AM-${n}",\n  "psi": 4${n}.50 }`),
    context: canonicalBytes({ tester: `T-${n}`, place: 'Höhe' }),
    evaluation: evaluationOf(utf8(`{ "plant": "AM-${n}",\n  "psi": 4${n}.50 }`)),
    edition: '2026-1',
  }))

/** What stands in for a calculation in tests of the package alone. */
export function evaluationOf(raw: Uint8Array): Uint8Array {
  return canonicalBytes({ bytes: raw.length, sum: raw.reduce((sum, byte) => sum + byte, 0) })
}

export interface SampleLog {
  readonly tests: readonly BundledTest[]
  readonly others: readonly BundledEntry[]
  /** What comparing each test with those before it found. */
  readonly compared: readonly BundledFindings[]
  /** What became of the tests. */
  readonly later: readonly BundledEntry[]
  readonly size: number
  readonly read: ReadHash
}

export interface SampleChoices {
  readonly withNotes?: boolean
  /** Each test is compared with those before it. */
  readonly isCompared?: boolean
  readonly became?: readonly Entry[]
}

/**
 * A log in which each test is followed by a note’s entry, unless it is to be of tests alone; behind them all stands what
 * became of them.
 */
export function sampleLog(
  samples: readonly SampleTest[],
  { withNotes = true, isCompared = false, became = [] }: SampleChoices = {},
): SampleLog {
  const tests: BundledTest[] = []
  const others: BundledEntry[] = []
  const compared: BundledFindings[] = []
  const leaves: Uint8Array[] = []
  const append = (entry: Uint8Array): number => leaves.push(leafHash(entry)) - 1
  samples.forEach(({ raw, context, evaluation, edition }, n) => {
    const salt = seed(`salt ${n}`).slice(0, 16)
    const at = `2026-05-${String(1 + (n % 28)).padStart(2, '0')}T09:30:00.000Z`
    const about = { v: 1, at, firm: FIRM, subject: testId(n) } as const
    const hashes = { rawSha256: sha256Hex(salt, raw), contextSha256: sha256Hex(salt, context) }
    const evaluationSha256 = sha256Hex(salt, evaluation)
    const entry = entryBytes({ ...about, kind: 'test', ...hashes, evaluationSha256, edition })
    tests.push({ index: append(entry), entry, salt, raw, context })
    if (isCompared) compared.push(comparisonOf(n, tests.at(-1)!, append))
    if (!withNotes) return
    const note = `nte_01JCP6WYRX${String(n).padStart(16, '0')}`
    const noteEntry = entryBytes({ ...about, kind: 'note', note, noteSha256: sha256Hex(salt) })
    others.push({ index: append(noteEntry), entry: noteEntry })
  })
  const later = became.map(entryBytes).map((entry) => ({ index: append(entry), entry }))
  return { tests, others, compared, later, size: leaves.length, read: readFrom(leaves) }
}

/** In every test but the first a hold was found. */
function comparisonOf(
  n: number,
  { index: before }: BundledTest,
  append: (entry: Uint8Array) => number,
): BundledFindings {
  const salt = seed(`salt of comparison ${n}`).slice(0, 16)
  const found = {
    ...{ id: 'readings-reused-from-another-plant', severity: 'hold', place: '/runs', values: [], limits: [] },
    ...{ message: 'Readings equal those of another test.', remedy: 'Send the readings of this plant.' },
    basisSha256: basisSha256(salt, { against: [testId(0)], values: [] }),
  }
  const edition = '2026-1'
  const findings = recordFindingsBytes({ test: testId(n), before, edition, findings: n === 0 ? [] : [found] })
  const at = '2026-06-01T08:00:00.000Z'
  const hash = { findingsSha256: sha256Hex(salt, findings) }
  const entry = entryBytes({ ...about(n, at), kind: 'record-findings', before, edition, ...hash })
  return { index: append(entry), entry, salt, findings }
}

function readFrom(leaves: readonly Uint8Array[]): ReadHash {
  const levels: Uint8Array[][] = [[...leaves]]
  for (let below = levels[0]!; below.length > 1; ) {
    const pairs = Math.floor(below.length / 2)
    const from = below
    below = Array.from({ length: pairs }, (_, i) => nodeHash(from[2 * i]!, from[2 * i + 1]!))
    levels.push(below)
  }
  return (level, index) => levels[level]![index]!
}

/** The signed checkpoint of the log at a size, cosigned by the witness. */
export function checkpointAt({ read }: SampleLog, size: number): string {
  const note = signNote(checkpointBody({ origin: ORIGIN, size, root: rootAt(size, read) }), [logSigner])
  return cosign(note, witnessSigner, 1_780_000_000)
}

export interface SampleChoice {
  /** Which tests; all if absent. */
  readonly tests?: readonly number[]
  /** Size of the earlier checkpoint. */
  readonly since?: number
}

/** A bundle of some tests, with the notes on them and all that became of tests. */
export function bundleOf(log: SampleLog, { tests, since }: SampleChoice = {}): Uint8Array {
  const chosen = tests ?? log.tests.map((_, n) => n)
  return makeBundle({
    checkpoint: checkpointAt(log, log.size),
    items: [...chosen.flatMap((n) => [log.tests[n]!, log.others[n] ?? [], log.compared[n] ?? []].flat()), ...log.later],
    read: log.read,
    ...(since !== undefined && {
      earlier: {
        checkpoint: checkpointAt(log, since),
        consistency: consistencyProof(since, log.size, log.read),
      },
    }),
  })
}

/** A log that says something else from an index on: what a rewritten history looks like. */
export function rewritten(log: SampleLog, index: number): ReadHash {
  const leaves = Array.from({ length: log.size }, (_, n) => (n === index ? sha256(utf8('rewritten')) : log.read(0, n)))
  return readFrom(leaves)
}

const about = (n: number, at: string) => ({ v: 1, at, firm: FIRM, subject: testId(n) }) as const

/** A withdrawal of a sample test. */
export const withdrawalOf = (n: number): Entry => ({
  ...about(n, '2026-06-10T08:00:00.000Z'),
  kind: 'withdrawal',
  blind: '0'.repeat(32),
  reason: 'sent-twice',
})

/** A revision of a sample test, whose own sheet is not in the bundle. */
export const revisionOf = (n: number, by: number): Entry => ({
  ...about(by, '2026-06-09T08:00:00.000Z'),
  kind: 'revision',
  revises: testId(n),
  reason: 'misread',
  rawSha256: sha256Hex(utf8('sheet')),
  contextSha256: sha256Hex(utf8('context')),
  evaluationSha256: sha256Hex(utf8('evaluation')),
  edition: '2026-1',
})

export const PROGRAM = 'prg_01JCP6WYRX0000000000000000'

/** A program’s decision on one hold of a sample test. */
export const decisionOn = (n: number, outcome: 'stands' | 'does-not-stand'): Entry => ({
  ...about(n, `2026-06-0${outcome === 'stands' ? 8 : 7}T08:00:00.000Z`),
  ...{ kind: 'finding-decision', program: PROGRAM, decision: 'fdc_01JCP6WYRX0000000000000000' },
  ...{ finding: 'power-swings', run: 0, place: '/runs/0/power', outcome, wordsSha256: sha256Hex(utf8('words')) },
})
