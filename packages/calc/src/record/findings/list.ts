/**
 * Every finding that is decided from the record, in the order in which a reader of the catalogue meets them. What a
 * revision does is decided last: it is beside all the others.
 */
import type { AnyRecordFinding } from '../record-finding.ts'
import { efficiencyChangedMuch } from './efficiency-changed-much.ts'
import { efficiencyRoseWithoutRepair } from './efficiency-rose-without-repair.ts'
import { oneVisitSentTwice } from './one-visit-sent-twice.ts'
import { readingsAreAShiftedCopy } from './readings-are-a-shifted-copy.ts'
import { readingsReusedFromAnotherPlant } from './readings-reused-from-another-plant.ts'
import { readingsReusedFromEarlierTest } from './readings-reused-from-earlier-test.ts'
import { revisionTurnsTheOutcome } from './revision-turns-the-outcome.ts'
import { sameSheetSentAgain } from './same-sheet-sent-again.ts'
import { specificCapacityChanged } from './specific-capacity-changed.ts'
import { standingLevelFarFromHistory } from './standing-level-far-from-history.ts'
import { testDatedInFuture } from './test-dated-in-future.ts'
import { testSubmittedLate } from './test-submitted-late.ts'
import { testsOverlapForTester } from './tests-overlap-for-tester.ts'
import { tooManyTestsInADay } from './too-many-tests-in-a-day.ts'

export const recordFindingList: readonly AnyRecordFinding[] = [
  sameSheetSentAgain,
  oneVisitSentTwice,
  readingsReusedFromEarlierTest,
  readingsReusedFromAnotherPlant,
  readingsAreAShiftedCopy,
  testDatedInFuture,
  testSubmittedLate,
  testsOverlapForTester,
  tooManyTestsInADay,
  standingLevelFarFromHistory,
  specificCapacityChanged,
  efficiencyRoseWithoutRepair,
  efficiencyChangedMuch,
  revisionTurnsTheOutcome,
]
