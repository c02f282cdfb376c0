/** What is asked of a verifier of bundles, and what it answers. */
import type { Checkpoint } from './checkpoint.ts'
import type { VerificationCode } from './errors.ts'
import type { VerifierKey } from './verifier-key.ts'

/**
 * Evaluates a sheet as it was received, with the context it was evaluated with: canonical bytes of the evaluation, or
 * undefined where the edition isn’t known. May throw; that is told too.
 */
export type Replay = (raw: Uint8Array, context: Uint8Array, edition: string) => Uint8Array | undefined

/** What a reader knows a test by, read out of its sheet and its evaluation. */
export interface TestDetails {
  /** Codes, as on the sheet. */
  readonly plant: string
  readonly tester: string
  /** Day of the visit. */
  readonly testedOn: string
  /** What the findings make of it; only where it was evaluated again. */
  readonly soundness?: string
  /**
   * Of the run that stands for the usual condition, as a ratio, with the half-width of its 95 % interval; only where the
   * test was evaluated again.
   */
  readonly overallPlantEfficiency?: { readonly value: number; readonly expandedUncertainty: number }
  /** Why the evaluation doesn’t report overall plant efficiency. */
  readonly efficiencyWithheld?: string
}

/** Details of a sheet that is the one received, and of its evaluation if that was made again to the last bit. */
export type Describe = (raw: Uint8Array, evaluation: Uint8Array | undefined) => TestDetails | undefined

export interface VerifyOptions {
  /** Of the log, and of witnesses whose cosignatures count. */
  readonly keys: readonly VerifierKey[]
  /** Left out, the arithmetic isn’t verified. */
  readonly replay?: Replay
  /** Asked about each test that was evaluated again, and about all where they are few. May throw: then there are none. */
  readonly describe?: Describe
  /** A checkpoint that was kept from an earlier day; the bundle must show that its log continues it. */
  readonly sinceCheckpoint?: Checkpoint
}

export interface BundleProblem {
  readonly code: VerificationCode
  /** A sentence for an auditor. */
  readonly message: string
  /** Line of the file, from 1; absent for what concerns the file as a whole. */
  readonly line?: number
  /** Index in the log. */
  readonly index?: number
  /** Id of the test. */
  readonly test?: string
}

interface Said {
  readonly index: number
  readonly at: string
  /** Id of the version that it is said of: the test, or one that took its place. */
  readonly test: string
}

/** An entry that says something about a test, or about a version that took its place. */
export type LaterEntry =
  | (Said & { readonly kind: 'withdrawal'; readonly reason: string })
  | (Said & { readonly kind: 'revision'; readonly supersededBy: string; readonly reason: string })
  | (Said & {
      readonly kind: 'finding-decision'
      readonly program: string
      readonly finding: string
      /** Index of the run; absent where the finding is about the visit. */
      readonly run?: number
      /** JSON Pointer into the sheet. */
      readonly place: string
      readonly outcome: 'stands' | 'does-not-stand'
    })
  | (Said & { readonly kind: 'record-findings'; readonly found: readonly FoundInRecord[] })

/** One finding of comparing a test with the record. */
export interface FoundInRecord {
  readonly finding: string
  readonly severity: string
  readonly run?: number
  readonly place: string
  /** In words that name no other test. */
  readonly message: string
}

/** How many of the tests there is something to mind about, and what. A test may count under several. */
export interface Caveats {
  readonly withdrawn: number
  readonly superseded: number
  /** With a hold that stands, as a program decided last. */
  readonly holdStands: number
  /** By their own findings, of those that were evaluated again, or by what comparing them with the record found. */
  readonly unsound: number
  readonly inQuestion: number
}

export interface VerifiedTest {
  readonly index: number
  readonly kind: string
  readonly id: string
  readonly firm: string
  /** When it was received. */
  readonly at: string
  readonly edition: string
  readonly replay: 'identical' | 'differs' | 'not-done'
  /** False if anything is wrong with it, with its entry, or with the log that vouches for it. */
  readonly ok: boolean
  readonly details?: TestDetails
  /** What entries in the file say of it, in order; absent where none does. */
  readonly later?: readonly LaterEntry[]
}

export interface BundleSignature {
  readonly name: string
  /**
   * `log`: signed by the log. `witness`: by another given key. `unknown`: by a key that was not given, hence not
   * verified. `does-not-fit`: under a given key, but it is not that key’s signature of this text.
   */
  readonly by: 'log' | 'witness' | 'unknown' | 'does-not-fit'
  /** Of a cosignature that was verified, RFC 3339. */
  readonly at?: string
}

export interface BundleReport {
  /** True if nothing is wrong. */
  readonly ok: boolean
  readonly problems: readonly BundleProblem[]
  /** Absent where the file can't be read. */
  readonly checkpoint?: {
    readonly origin: string
    readonly size: number
    /** Hexadecimal. */
    readonly root: string
    /** The same in base 64, as the checkpoint spells it. */
    readonly rootBase64: string
    readonly signatures: readonly BundleSignature[]
  }
  /** Size of the earlier checkpoint that the log is shown to continue. */
  readonly continues?: number
  readonly tests: readonly VerifiedTest[]
  readonly counts: {
    readonly tests: number
    readonly otherEntries: number
    /** By kind. */
    readonly kinds: Readonly<Record<string, number>>
    /** Tests whose evaluation was made again. */
    readonly replayed: number
    /** Of these, the same to the last bit. */
    readonly identical: number
    /** Verified, but to be minded. */
    readonly caveats: Caveats
    readonly bytes: number
  }
}

/** A problem as it is found: its line is counted only when it is told. */
export type Found = Omit<BundleProblem, 'line'> & { readonly byte?: number }
