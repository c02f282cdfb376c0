import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const oneReadingDominates = defineFinding({
  id: 'one-reading-dominates',
  group: 'uncertainty',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'One reading makes most of the variance of overall plant efficiency.',
  why: 'It tells where a repeat helps.',
  needs: ['largestShare'],
  limits: ['maxShare'],
  raised: ({ largestShare }, limits) => exceeds(largestShare, limits.maxShare),
  message: ({ largestShare }, say, limits) =>
    `One reading makes ${say.percent(largestShare)} of the variance of overall plant efficiency; up to ${say.percent(limits.maxShare)} is usual.`,
  remedy:
    'Repeat or improve the reading that stands first in the advice; the others hardly matter. A reading in a panel is for qualified staff only.',
  source: ourJudgement('flow commonly makes 80 to 92 percent, so only more than that is worth a line'),
  examples: {
    passes: [{ largestShare: 0.95 }, { largestShare: 0.6 }],
    raises: [{ largestShare: 0.96 }],
  },
})
