/**
 * One entry of the ledger: what happened to which test, whose, when, and the hashes of what it rests on.
 *
 * Hashes and ids only, never a reading and never a word about a person: an entry can't be taken back.
 * The index is not inside; it is the entry's place, given when the entry is appended.
 */
import { sha256 } from '#sha256'
import { canonicalJson } from './canonical-json.ts'
import type {
  QualityDrawEntry,
  QualityDrawingEntry,
  QualityVisitStepEntry,
  RuleSetEntry,
} from './entries-of-programs.ts'

/** Larger entries are refused. Tiles give an entry a 16-bit length (C2SP tlog-tiles), so 65,535 is the outer wall. */
export const ENTRY_BYTES_MAX = 4_000

/**
 * A submitted test. Each hash is SHA-256 over the test’s salt followed by the bytes, as 64 lower-case hexadecimal
 * digits: the log may be public, and without the salt nobody can find out a sheet by guessing.
 */
export interface TestEntry {
  readonly v: 1
  readonly kind: 'test'
  /** When it was received, RFC 3339 in UTC with milliseconds. */
  readonly at: string
  /** Id of the firm, `frm_…`. */
  readonly firm: string
  /** Id of the test, `tst_…`. */
  readonly subject: string
  readonly rawSha256: string
  readonly contextSha256: string
  readonly evaluationSha256: string
  /** Method edition that made the evaluation. */
  readonly edition: string
}

/** A note beside a test. Erased, the note leaves this entry alone, whose hash says nothing without the salt. */
export interface NoteEntry {
  readonly v: 1
  readonly kind: 'note'
  readonly at: string
  readonly firm: string
  /** Id of the test, `tst_…`. */
  readonly subject: string
  /** Id of the note, `nte_…`. */
  readonly note: string
  /** SHA-256 over the note’s own salt followed by its bytes. */
  readonly noteSha256: string
}

/**
 * What an entry without a salted hash has in its place: 16 random bytes as 32 lower-case hexadecimal digits. The leaf
 * hashes of a log may be public, and ids, codes and a time can be found out by trying; these can’t.
 */
interface Blinded {
  readonly blind: string
}

/** A note was erased: its text and its salt are gone. */
export interface NoteErasedEntry extends Blinded {
  readonly v: 1
  readonly kind: 'note-erased'
  readonly at: string
  readonly firm: string
  readonly subject: string
  readonly note: string
}

/** From here on another key signs the checkpoints; the first of its kind names the key the log began with. */
export interface SigningKeyEntry {
  readonly v: 1
  readonly kind: 'signing-key'
  readonly at: string
  /** The key that signs, as verifier key text (C2SP signed-note): `name+id+key`. */
  readonly key: string
  /** The key it takes the place of; absent for the first. */
  readonly replaces?: string
}

/** Who read what in one hour, as the root of a tree of its own over the rows of the read log (RFC 6962, 2.1). */
export interface ReadLogEntry {
  readonly v: 1
  readonly kind: 'read-log'
  readonly at: string
  /** Begin of the hour, in UTC. */
  readonly hour: string
  /** Place of its first row: where the rows of the hour before it end, so that nothing can lie between. */
  readonly first: number
  readonly count: number
  readonly root: string
}

/** A corrected sheet of the same visit: a test of its own, which takes the place of the one it revises. */
export interface RevisionEntry extends Omit<TestEntry, 'kind'> {
  readonly kind: 'revision'
  /** Id of the version whose place it takes, `tst_…`. */
  readonly revises: string
  /** Code of the reason. */
  readonly reason: string
}

/** A test was taken back by its firm, for good. It stays readable. */
export interface WithdrawalEntry extends Blinded {
  readonly v: 1
  readonly kind: 'withdrawal'
  readonly at: string
  readonly firm: string
  readonly subject: string
  /** Code of the reason. */
  readonly reason: string
}

/** A program’s reader decided about one finding of one version of a test. The words stay outside and can be erased. */
export interface FindingDecisionEntry {
  readonly v: 1
  readonly kind: 'finding-decision'
  readonly at: string
  readonly firm: string
  readonly subject: string
  /** Id of the program, `prg_…`. */
  readonly program: string
  /** Id of the decision, `fdc_…`. */
  readonly decision: string
  /** Id of the finding in the catalogue. */
  readonly finding: string
  /** Index of the run; absent where the finding is about the visit. */
  readonly run?: number
  /** JSON Pointer into the sheet. */
  readonly place: string
  readonly outcome: 'stands' | 'does-not-stand'
  /** SHA-256 over the decision’s own salt followed by the bytes of who decided and why. */
  readonly wordsSha256: string
}

/** Who decided, and why, was erased, with the salt. That there was a decision stays. */
export interface FindingDecisionErasedEntry extends Blinded {
  readonly v: 1
  readonly kind: 'finding-decision-erased'
  readonly at: string
  readonly firm: string
  readonly subject: string
  readonly program: string
  readonly decision: string
}

/**
 * A test was compared with what the log held before it. One for each test, also where nothing was found: so findings can
 * neither be altered nor dropped unseen.
 */
export interface RecordFindingsEntry {
  readonly v: 1
  readonly kind: 'record-findings'
  /** When it was compared. */
  readonly at: string
  readonly firm: string
  /** Id of the test, `tst_…`. */
  readonly subject: string
  /** Index of the test’s own entry: it was compared with what has a lower one. */
  readonly before: number
  /** Method edition whose rules were applied. */
  readonly edition: string
  /** SHA-256 over a salt of its own followed by the findings, as in a bundle. */
  readonly findingsSha256: string
}

export type Entry =
  | TestEntry
  | RevisionEntry
  | WithdrawalEntry
  | FindingDecisionEntry
  | FindingDecisionErasedEntry
  | NoteEntry
  | NoteErasedEntry
  | SigningKeyEntry
  | ReadLogEntry
  | RuleSetEntry
  | QualityDrawEntry
  | QualityDrawingEntry
  | QualityVisitStepEntry
  | RecordFindingsEntry

/** An entry as it may stand in a log: those of earlier versions were not blinded. */
export type RecordedEntry = Entry extends infer E
  ? E extends Blinded
    ? Omit<E, 'blind'> & Partial<Blinded>
    : E
  : never

/** Thrown for an entry that must not be appended; names the member. */
export class EntryError extends Error {
  readonly member: string
  constructor(member: string, reason: string) {
    super(`Ledger entry refused: ${member} ${reason}.`)
    this.name = 'EntryError'
    this.member = member
  }
}

interface Rule {
  readonly allows: (value: unknown) => boolean
  readonly says: string
  /** The member may be absent. */
  readonly optional?: true
  /** Entries of earlier versions don’t have it. */
  readonly later?: true
}
const text = (pattern: RegExp, says: string): Rule => ({
  allows: (value) => typeof value === 'string' && pattern.test(value),
  says,
})
const hash = text(/^[0-9a-f]{64}$/, 'must be 64 lower-case hexadecimal digits')

const about = {
  v: { allows: (value) => value === 1, says: 'must be 1' },
  at: text(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/, 'must be a time like 2026-05-04T09:30:00.000Z'),
  firm: text(/^frm_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a firm'),
  subject: text(/^tst_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a test'),
} satisfies Record<string, Rule>
const verifierKey = text(
  // Its name is printable ASCII without quotes and backslashes, so that no two spellings of it exist.
  /^[!#-*,-[\]-~]{1,200}\+[0-9a-f]{8}\+[A-Za-z0-9+/]{44}$/,
  'must be a verifier key, `name+id+key`, with an id of 8 hexadecimal digits',
)
const edition = text(/^\d{4}-\d{1,3}$/, 'must be an edition like 2026-1')
const test = {
  ...about,
  rawSha256: hash,
  contextSha256: hash,
  evaluationSha256: hash,
  edition,
} satisfies Record<string, Rule>
const code = (what: string, lengthMax: number) => text(new RegExp(`^[a-z][a-z0-9-]{0,${lengthMax - 1}}$`), what)
const reason = code('must be a code of at most 40 small letters and hyphens', 40)
const decided = {
  ...about,
  program: text(/^prg_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a program'),
  decision: text(/^fdc_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a decision'),
} satisfies Record<string, Rule>
const runIndex: Rule = {
  allows: (value) => Number.isInteger(value) && (value as number) >= 0 && (value as number) < 1_000,
  says: 'must be the index of a run',
  optional: true,
}
const whole = (least: number): Rule => ({
  allows: (value) => Number.isSafeInteger(value) && (value as number) >= least,
  says: `must be a whole number from ${least} on`,
})
const qualityDraw = {
  v: about.v,
  at: about.at,
  program: decided.program,
  draw: text(/^qdr_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a draw'),
} satisfies Record<string, Rule>
const note = text(/^nte_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a note')

const blind: Rule = { ...text(/^[0-9a-f]{32}$/, 'must be 32 lower-case hexadecimal digits'), later: true }

type RulesOf<E extends Entry> = { readonly [M in Exclude<keyof E, 'kind'>]-?: Rule }

/** What each kind of entry holds beside its kind. */
const rules: { readonly [K in Entry['kind']]: RulesOf<Extract<Entry, { kind: K }>> } = {
  test,
  revision: { ...test, revises: about.subject, reason },
  withdrawal: { ...about, reason, blind },
  'finding-decision': {
    ...decided,
    finding: code('must be the id of a finding', 80),
    run: runIndex,
    place: text(/^[^\0]{0,200}$/, 'must be a JSON Pointer of at most 200 characters'),
    outcome: text(/^(stands|does-not-stand)$/, 'must be stands or does-not-stand'),
    wordsSha256: hash,
  },
  'finding-decision-erased': { ...decided, blind },
  note: { ...about, note, noteSha256: hash },
  'note-erased': { ...about, note, blind },
  'signing-key': { v: about.v, at: about.at, key: verifierKey, replaces: { ...verifierKey, optional: true } },
  'read-log': {
    v: about.v,
    at: about.at,
    hour: text(/^\d{4}-\d\d-\d\dT\d\d:00:00\.000Z$/, 'must be the begin of an hour like 2026-05-04T09:00:00.000Z'),
    first: whole(0),
    count: whole(1),
    root: hash,
  },
  'rule-set': {
    v: about.v,
    at: about.at,
    program: decided.program,
    ruleSet: text(/^rls_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a rule set'),
    version: whole(1),
    contentSha256: hash,
    peopleSha256: hash,
  },
  'quality-draw': { ...qualityDraw, seedSha256: hash, termsSha256: hash, peopleSha256: hash },
  'quality-drawing': { ...qualityDraw, seed: hash, outcomeSha256: hash, peopleSha256: hash },
  'quality-visit-step': {
    v: about.v,
    at: about.at,
    program: decided.program,
    visit: text(/^qvs_[0-9A-HJKMNP-TV-Z]{26}$/, 'must be the id of a quality visit'),
    turn: whole(1),
    contentSha256: hash,
  },
  'record-findings': { ...about, before: whole(0), edition, findingsSha256: hash },
}

/** Members of each kind in canonical order (RFC 8785, 3.2.3: by code units, which for these names is ASCII). */
const members = Object.fromEntries(
  Object.entries(rules).map(([kind, own]) => [
    kind,
    Object.keys({ ...own, kind: true })
      .sort()
      .map((name) => ({ name, rule: (own as Record<string, Rule>)[name] })),
  ]),
)

/** Canonical bytes of an entry, as stored and hashed. Throws {@link EntryError} for a wrong, missing or extra member. */
export const entryBytes = (entry: Entry): Uint8Array => canonicalBytesOf(entry, 'new')

/** The same of an entry that stands in a log, maybe since an earlier version. */
export const recordedEntryBytes = (entry: RecordedEntry): Uint8Array => canonicalBytesOf(entry, 'recorded')

function canonicalBytesOf(entry: RecordedEntry, age: 'new' | 'recorded'): Uint8Array {
  const own = Object.hasOwn(members, entry.kind) ? members[entry.kind] : undefined
  if (own === undefined) throw new EntryError('kind', `must be one of ${Object.keys(rules).join(', ')}`)
  const values = entry as unknown as Record<string, unknown>
  let text = ''
  for (const { name, rule } of own) {
    const value = values[name]
    const mayLack = rule?.optional || (rule?.later && age === 'recorded')
    if (mayLack && !Object.hasOwn(values, name)) continue
    if (rule !== undefined && !rule.allows(value)) throw new EntryError(name, rule.says)
    // Numbers are whole, and next to no text needs an escape: then it is its own canonical form.
    const plain = typeof value === 'number' || !/[^ !#-[\]-~]/.test(value as string)
    text += `${text === '' ? '{' : ','}"${name}":${plain ? (typeof value === 'number' ? value : `"${value}"`) : canonicalJson(value)}`
  }
  for (const name of Object.keys(values)) {
    if (!own.some((member) => member.name === name)) throw new EntryError(name, 'does not belong in an entry')
  }
  return new TextEncoder().encode(`${text}}`)
}

const LEAF_PREFIX = Uint8Array.of(0x00)

/** Hash of a leaf of the tree: SHA-256(0x00 ‖ entry) (RFC 6962, 2.1; RFC 9162, 2.1.1). Throws {@link EntryError} if too long. */
export function leafHash(entry: Uint8Array): Uint8Array {
  if (entry.length > ENTRY_BYTES_MAX) {
    throw new EntryError('entry', `is ${entry.length} bytes long; at most ${ENTRY_BYTES_MAX} are allowed`)
  }
  return sha256(LEAF_PREFIX, entry)
}
