/** Findings decided from the record that are in force in edition 2026-1. */
export const recordFindings = [
  'same-sheet-sent-again',
  'one-visit-sent-twice',
  'readings-reused-from-earlier-test',
  'readings-reused-from-another-plant',
  'readings-are-a-shifted-copy',
  'test-dated-in-future',
  'test-submitted-late',
  'tests-overlap-for-tester',
  'too-many-tests-in-a-day',
  'standing-level-far-from-history',
  'specific-capacity-changed',
  'efficiency-rose-without-repair',
  'efficiency-changed-much',
  'revision-turns-the-outcome',
] as const
