/** Thresholds of edition 2026-1 for findings that are decided from the record. A value at its limit passes where it is the largest allowed. */
import { limit } from './limit.ts'
import { judged } from './sources.ts'

export const limitsOfRecord = {
  sameVisitShare: limit(
    'Least share of readings alike that makes two tests of one day one visit',
    80,
    '%',
    'ratio',
    judged('a corrected sheet keeps most of its readings; two visits share few'),
  ),
  minSharedSurprise: limit(
    'Least order of magnitude of the odds against chance, for equal readings',
    6,
    '1',
    'ratio',
    judged('about one false alarm in 30,000 tests of 30 readings; that of the tests searched is added'),
  ),
  minMovedSurprise: limit(
    'Least order of magnitude of the odds against chance, for readings moved alike',
    7,
    '1',
    'ratio',
    judged('one more than for equal readings, since a constant and a factor are tried'),
  ),
}
