/** Results of a test beside those of the last sound test of the plant. */
import { editionById } from '../editions/list.ts'
import type { QuantityId, Result } from '../evaluation.ts'
import { dayNumber } from '../instants.ts'
import { type Comparison, nameOf } from './comparison.ts'
import type { RecordedTest } from './record.ts'
import type { Figures } from './record-finding.ts'

export interface SinceLast extends Figures {
  readonly now: number
  readonly last: number
  /** Of `now` less `last`, as of two independent results. */
  readonly standardUncertainty: number
  /** True if the plant has other equipment on record than at the last test. */
  readonly equipmentChanged: boolean
  readonly other: string
}

/** Heads are counted alike in both; results that hang on them can't be compared otherwise. */
const headSettingOf = ({ evaluation }: RecordedTest) => editionById(evaluation.edition)?.settings.velocityHead

/** The quantity in the run that stands for the normal condition of the plant; none if the run was an unusual one. */
export function normalResult({ sheet, evaluation }: RecordedTest, quantity: QuantityId): Result | undefined {
  const run = sheet.normalRun ?? 0
  if (sheet.runs[run]?.condition?.duty === 'unusual') return undefined
  return evaluation.results.find((result) => result.run === run && result.quantity === quantity)
}

/** Tests of the plant from days before the subject’s, oldest first, with heads counted as the subject counts them. */
export function earlierTests({ record, subject }: Comparison): RecordedTest[] {
  const day = dayNumber(subject.sheet.testedOn)
  const setting = headSettingOf(subject)
  return record.ofPlant.filter(
    (other) => dayNumber(other.sheet.testedOn) < day && headSettingOf(other) === setting && setting !== undefined,
  )
}

/**
 * A quantity of the normal run and that of the last sound test that reports it; empty without one.
 *
 * The uncertainties are combined as those of independent results. Where both tests were made with one instrument, the
 * error that they share drops out of the difference and its uncertainty is smaller than stated here: a change is
 * rather passed over than raised for nothing. Source: JCGM 100:2008, 5.1.2 and 5.2.2 (from memory).
 */
export function sinceLastSound(comparison: Comparison, quantity: QuantityId): SinceLast[] {
  const { subject } = comparison
  const now = normalResult(subject, quantity)
  if (now === undefined) return []
  for (const other of earlierTests(comparison).reverse()) {
    const isSound = other.evaluation.soundness === 'sound' && (other.byRecord ?? 'sound') === 'sound'
    const last = isSound ? normalResult(other, quantity) : undefined
    if (last === undefined) continue
    const whose = comparison.with(other)
    return [
      {
        ...whose,
        run: now.run,
        now: now.value,
        last: last.value,
        standardUncertainty: Math.sqrt(
          now.standardUncertainty * now.standardUncertainty + last.standardUncertainty * last.standardUncertainty,
        ),
        equipmentChanged:
          subject.context.plant.equipment?.effectiveFrom !== other.context.plant.equipment?.effectiveFrom,
        other: nameOf(other.sheet.testedOn, whose.ofOtherFirm, 'this plant'),
      },
    ]
  }
  return []
}

/** Units of what is reported of a ratio since the last test. */
export const MEASURES_OF_RATIO = { now: '1', last: '1', standardUncertainty: '1' } as const
/** Those of them that tell of the other test. */
export const OF_LAST_TEST = ['last', 'standardUncertainty'] as const
