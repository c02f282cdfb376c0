import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const levelRepeatsDisagree = defineFinding({
  id: 'level-repeats-disagree',
  group: 'levels',
  severity: 'caution',
  place: '/standingLevel/repeats',
  decidedFrom: 'sheet',
  rule: 'Repeats of the standing level differ by more than the limit.',
  why: 'The water is moving, or the probe touches wet casing.',
  needs: ['standingRepeatSpread'],
  limits: ['maxRepeatSpread'],
  raised: ({ standingRepeatSpread }, limits) => exceeds(standingRepeatSpread, limits.maxRepeatSpread),
  message: ({ standingRepeatSpread }, say, limits) =>
    `Repeats of the standing level differ by ${say.length(standingRepeatSpread)}; at most ${say.length(limits.maxRepeatSpread)} is expected.`,
  remedy: 'Wait until the well rests, shake the probe dry and read again.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('one step of a tape read to a tenth of a foot passes, two don’t'),
  examples: {
    passes: [{ standingRepeatSpread: 0.04572 }, { standingRepeatSpread: 0 }],
    raises: [{ standingRepeatSpread: 0.06096 }],
  },
})
