import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Fewer are alike by chance. */
const REPEATS_TO_TELL = 4

export const repeatsAllEqual = defineFinding({
  id: 'repeats-all-equal',
  group: 'integrity',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Four or more timings, rates or powers that show steps finer than their usual scatter are all equal.',
  why: 'One reading may stand for all of them, and then their scatter says nothing about the random error.',
  needs: ['equalRepeats', 'equalRepeatsStep', 'equalRepeatsText'],
  limits: ['maxStepShare'],
  raised: ({ equalRepeats, equalRepeatsStep }, limits) =>
    equalRepeats >= REPEATS_TO_TELL && fallsShort(equalRepeatsStep, limits.maxStepShare),
  message: ({ equalRepeats, equalRepeatsStep, equalRepeatsText }, say) =>
    `${counted(equalRepeats, 'repeat')} are all ${equalRepeatsText}, although one step of the reading is ${say.percent(equalRepeatsStep)} of it; repeats read so finely differ.`,
  remedy: 'Write each repeat as it was read. If the display does not move, wait until it has refreshed.',
  source: ourJudgement('only where a step is below 0.2 percent: three equal stopwatch times to 0.1 s are usual'),
  examples: {
    passes: [
      { equalRepeats: 4, equalRepeatsStep: 0.002, equalRepeatsText: '50 s' },
      { equalRepeats: 3, equalRepeatsStep: 0.0003, equalRepeatsText: '33.42 s' },
    ],
    raises: [
      { equalRepeats: 4, equalRepeatsStep: 0.0003, equalRepeatsText: '33.42 s' },
      { equalRepeats: 5, equalRepeatsStep: 0.00199, equalRepeatsText: '502 gpm' },
    ],
  },
})
