import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const tankFilledTooFast = defineFinding({
  id: 'tank-filled-too-fast',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/fillings',
  decidedFrom: 'sheet',
  rule: 'The tank filled in too short a time.',
  why: 'Starting and stopping the watch takes a few tenths of a second.',
  needs: ['shortestFilling'],
  limits: ['minFillTime'],
  raised: ({ shortestFilling }, limits) => fallsShort(shortestFilling, limits.minFillTime),
  message: ({ shortestFilling }, say, limits) =>
    `The tank filled in ${say.time(shortestFilling)}; at least ${say.time(limits.minFillTime)} is expected.`,
  remedy: 'Use a larger tank.',
  cautions: ['place-for-the-water'],
  source: ourJudgement('0.3 s in 30 s is one percent'),
  examples: { passes: [{ shortestFilling: 30 }], raises: [{ shortestFilling: 29.5 }] },
})
