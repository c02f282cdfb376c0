import { fallsShort } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import { shareAtSamePlace, WINDOW } from '../../readings-in-common.ts'
import { type Comparison, nameOf } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'
import { overlapOf } from '../spans.ts'

interface Twice extends Figures {
  readonly other: string
  /** Time that lies in both visits. */
  readonly overlap: number
  /** Share of readings alike at the same place, where both are of one day. */
  readonly share: number
  /** Readings of the shorter sheet. */
  readonly readings: number
}

const example = (overlap: number, share: number, readings = 30, ofOtherFirm = false): Twice => ({
  against: ['other'],
  ofOtherFirm,
  other: ofOtherFirm ? 'another test of this plant' : 'your test of this plant of 2026-05-12',
  overlap,
  share,
  readings,
})

export const oneVisitSentTwice = defineRecordFinding({
  id: 'one-visit-sent-twice',
  group: 'integrity',
  severity: 'hold',
  place: '/runs',
  rule: 'Another test of the plant has runs at the same time, or is of the same day and has nearly all its readings alike.',
  why: 'One visit must not be paid for or counted twice.',
  compared: (comparison: Comparison): Twice[] => {
    const { subject } = comparison
    const own = comparison.readingsOf(subject)
    const spans = comparison.spansOf(subject)
    return comparison.record.ofPlant.map((other) => {
      const overlap = overlapOf(spans, comparison.spansOf(other))
      const sameDay = other.sheet.testedOn === subject.sheet.testedOn
      const others = comparison.readingsOf(other)
      const whose = comparison.with(other)
      return {
        ...whose,
        other: nameOf(other.sheet.testedOn, whose.ofOtherFirm, 'this plant'),
        overlap: overlap === undefined ? 0 : overlap.to - overlap.from,
        share: sameDay ? shareAtSamePlace(own, others) : 0,
        readings: Math.min(own.length, others.length),
      }
    })
  },
  measures: { overlap: 's', share: '1', readings: '1' },
  ofOthers: ['overlap', 'share', 'readings'],
  limits: ['sameVisitShare'],
  raised: ({ overlap, share, readings }, limits) =>
    overlap > 0 || (readings >= WINDOW && !fallsShort(share, limits.sameVisitShare)),
  message: ({ other, ofOtherFirm, overlap, share }, say) =>
    overlap > 0
      ? `Readings of this test were made during ${other}.`
      : `${ofOtherFirm ? 'Nearly all' : say.percent(share)} of the readings are those of ${other}${ofOtherFirm ? '' : ', of the same day'}.`,
  remedy:
    'If both describe one visit, send what is to be corrected as a revision of the first and withdraw this one; if not, correct the times.',
  source: ourJudgement(
    'a time that lies in both visits is decisive; the share of readings finds a clock that was wrong',
  ),
  silences: ['readings-reused-from-earlier-test'],
  examples: {
    passes: [example(0, 0), example(0, 0.79), example(0, 1, WINDOW - 1)],
    raises: [example(1, 0), example(0, 0.8), example(0, 1, WINDOW), example(900, 0, 30, true)],
  },
})
