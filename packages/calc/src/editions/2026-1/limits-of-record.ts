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
  clockTolerance: limit('How far a clock may be ahead', 10, 'min', 'time', judged('a clock that drifts')),
  maxDelay: limit(
    'Longest usual time from a visit to the receipt of its sheet',
    30,
    'd',
    'time',
    judged('work without signal, and an office day once a month'),
  ),
  maxTestsPerDay: limit('Most tests of one tester on one day', 10, '1', 'ratio', judged('ten tests of one hour')),
  maxLevelStep: limit(
    'Largest usual step of the standing level from its history',
    20,
    'ft',
    'length',
    judged('beyond seasons; below it a slip in the tens digit of feet cannot be told'),
  ),
  maxCapacityChange: limit(
    'Largest usual change of specific capacity between tests',
    30,
    '%',
    'ratio',
    judged('10 to 20 percent is usual between seasons and flows'),
  ),
  maxEfficiencyChange: limit(
    'Largest usual change of overall plant efficiency between tests',
    0.1,
    '1',
    'ratio',
    judged('several years of usual wear'),
  ),
  maxRise: limit(
    'Largest rise of overall plant efficiency without other equipment',
    0.08,
    '1',
    'ratio',
    judged('another duty point explains part of a rise, seldom eight points'),
  ),
}
