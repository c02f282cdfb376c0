/** Findings decided from the record that are in force in edition 2026-1. */
export const recordFindings = [
  'same-sheet-sent-again',
  'one-visit-sent-twice',
  'readings-reused-from-earlier-test',
  'readings-reused-from-another-plant',
  'readings-are-a-shifted-copy',
] as const
