/** Every finding that is decided from the record, in the order in which a reader of the catalogue meets them. */
import type { AnyRecordFinding } from '../record-finding.ts'
import { oneVisitSentTwice } from './one-visit-sent-twice.ts'
import { readingsAreAShiftedCopy } from './readings-are-a-shifted-copy.ts'
import { readingsReusedFromAnotherPlant } from './readings-reused-from-another-plant.ts'
import { readingsReusedFromEarlierTest } from './readings-reused-from-earlier-test.ts'
import { sameSheetSentAgain } from './same-sheet-sent-again.ts'

export const recordFindingList: readonly AnyRecordFinding[] = [
  sameSheetSentAgain,
  oneVisitSentTwice,
  readingsReusedFromEarlierTest,
  readingsReusedFromAnotherPlant,
  readingsAreAShiftedCopy,
]
