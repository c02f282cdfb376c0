/** Readings that a test shares with tests on record, with the odds that this is chance. */
import { logarithm } from '../elementary.ts'
import { fallsShort } from '../findings/finding.ts'
import type { SharedRun } from '../readings-in-common.ts'
import { type Comparison, nameOf } from './comparison.ts'
import type { RecordedTest } from './record.ts'
import type { Figures } from './record-finding.ts'

export interface SharedReadings extends Figures {
  /** Successive readings in common. */
  readonly readings: number
  /** Orders of magnitude of the odds that they are not in common by chance. */
  readonly surprise: number
  /** Tests among which the other one was looked for. */
  readonly searched: number
  readonly other: string
  /** What was added to the other’s readings, or what they were multiplied by. */
  readonly added?: number
  readonly multipliedBy?: number
}

/**
 * True if chance does not explain it: the limit grows by the order of magnitude of the tests searched, so that false
 * alarms do not grow with the store.
 */
export const isBeyondChance = ({ surprise, searched }: SharedReadings, limit: number): boolean =>
  !fallsShort(surprise, limit + logarithm(Math.max(1, searched)) / Math.LN10)

/** Compares the subject with each test in turn by `find`; the most surprising first. */
export function sharedWith(
  comparison: Comparison,
  tests: readonly RecordedTest[],
  searched: number,
  find: (
    own: ReturnType<Comparison['readingsOf']>,
    other: ReturnType<Comparison['readingsOf']>,
  ) => SharedRun | undefined,
): SharedReadings[] {
  const { subject } = comparison
  const own = comparison.readingsOf(subject)
  const found = tests.flatMap((other): SharedReadings[] => {
    const run = find(own, comparison.readingsOf(other))
    if (run === undefined) return []
    const whose = comparison.with(other)
    return [
      {
        ...whose,
        place: own[run.from]!.group,
        readings: run.count,
        surprise: run.surprise,
        searched,
        other: nameOf(
          other.sheet.testedOn,
          whose.ofOtherFirm,
          other.plant === subject.plant ? 'this plant' : 'another plant',
        ),
        ...(run.moved?.by === 'constant' && { added: run.moved.value }),
        ...(run.moved?.by === 'factor' && { multipliedBy: run.moved.value }),
      },
    ]
  })
  return found.sort((a, b) => b.surprise - a.surprise)
}

/** Units of what is reported of shared readings; how many were searched would tell how many tests others have. */
export const MEASURES_OF_SHARED = { readings: '1', surprise: '1' } as const
