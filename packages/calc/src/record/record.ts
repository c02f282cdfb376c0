/**
 * What the record holds beside a test: the other tests it is compared with, brought together by whoever keeps the
 * store. Ids are opaque: equal ids mean the same test, firm or plant.
 */
import type { Context } from '../context.ts'
import type { Evaluation, Finding } from '../evaluation.ts'
import type { Sheet } from '../sheet.ts'

/** A test as the record holds it. */
export interface RecordedTest {
  readonly test: string
  readonly firm: string
  readonly plant: string
  readonly sheet: Sheet
  readonly context: Context
  readonly evaluation: Evaluation
  /** What its own comparison with the record made of it; absent for the subject, and where it was not compared. */
  readonly byRecord?: Evaluation['soundness']
  /** Hex SHA-256 of the bytes received, unsalted. */
  readonly rawSha256: string
  /** RFC 3339, UTC. */
  readonly receivedAt: string
}

/** What the record held beside a test when it was compared. */
export interface TestRecord {
  readonly subject: RecordedTest
  /** Version that the subject revises, if it is a revision. */
  readonly revised?: RecordedTest
  /** What that version had raised when it was compared with the record; none if absent. */
  readonly foundInRevised?: readonly Pick<RecordFinding, 'id' | 'severity' | 'run'>[]
  /**
   * Other tests of the plant, by any firm, with an earlier index in the ledger; the newest version of each, without
   * withdrawn ones; oldest first by the day of the test.
   */
  readonly ofPlant: readonly RecordedTest[]
  /** Earlier tests of other plants that share a window of readings with the subject: candidates only. */
  readonly lookalikes: readonly RecordedTest[]
  /** Tests of other plants that were searched for lookalikes. */
  readonly searched: number
  /** Earlier tests of the firm by the same tester whose visit is within a day of the subject’s. */
  readonly ofTester: readonly RecordedTest[]
  /** Earlier tests of the firm that came as the same bytes. */
  readonly sameBytes: readonly string[]
}

/**
 * What comparing a test with the record has shown. Message, remedy and `values` tell nothing of a test of another
 * firm; `against` and `valuesOfOthers` may, and are for those who may see these tests.
 */
export interface RecordFinding extends Finding {
  /** Tests it was decided against, the most telling first. */
  readonly against: readonly string[]
  /** What it used of tests of another firm; empty if all tests are of the subject’s firm. */
  readonly valuesOfOthers: Finding['values']
}
