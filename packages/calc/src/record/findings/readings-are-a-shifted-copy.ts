import { ourJudgement } from '../../findings/sources.ts'
import { movedRun } from '../../readings-in-common.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding } from '../record-finding.ts'
import { isBeyondChance, MEASURES_OF_SHARED, type SharedReadings, sharedWith } from '../runs-in-common.ts'

const example = (
  surprise: number,
  searched: number,
  move: Partial<SharedReadings> = { added: 0.35 },
): SharedReadings => ({
  ...{ against: ['other'], ofOtherFirm: false, readings: 10, surprise, searched },
  other: 'your test of another plant of 2026-05-12',
  ...move,
})

export const readingsAreAShiftedCopy = defineRecordFinding({
  id: 'readings-are-a-shifted-copy',
  group: 'integrity',
  severity: 'hold',
  place: '/runs',
  rule: 'Eight or more readings of one group differ from those of another test by one constant or one factor, beyond chance.',
  why: 'Readings of two visits scatter each in their own way; one constant or factor between them all is no scatter.',
  compared: (comparison: Comparison): SharedReadings[] => {
    const { ofPlant, lookalikes, searched } = comparison.record
    return [
      ...sharedWith(comparison, ofPlant, ofPlant.length, movedRun),
      ...sharedWith(comparison, lookalikes, searched, movedRun),
    ].sort((a, b) => b.surprise - a.surprise)
  },
  measures: { ...MEASURES_OF_SHARED, added: '1', multipliedBy: '1' },
  ofOthers: ['added', 'multipliedBy'],
  limits: ['minMovedSurprise'],
  raised: (shared, limits) => isBeyondChance(shared, limits.minMovedSurprise),
  message: ({ readings, other, ofOtherFirm, added, multipliedBy }, say) =>
    `${readings} successive readings are those of ${other}, ${
      ofOtherFirm
        ? 'all moved alike'
        : added === undefined
          ? `all multiplied by ${say.number(multipliedBy ?? 1)}`
          : `with ${say.number(added)} added to each`
    }.`,
  remedy: 'Send the readings as they were read, as a revision. If the wrong file was sent, withdraw the test.',
  source: ourJudgement(
    'as for equal readings; the first is used up by the move, and one order of magnitude more since constant and factor are tried',
  ),
  examples: {
    passes: [example(6.99, 1), example(7.99, 10, { multipliedBy: 1.2 })],
    raises: [
      example(7, 1),
      example(8, 10, { multipliedBy: 1.2 }),
      example(11, 4, { added: 0.35, ofOtherFirm: true, other: 'another test of this plant' }),
    ],
  },
})
