import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const flumeDownstreamHeadMissing = defineFinding({
  id: 'flume-downstream-head-missing',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/downstreamHead',
  decidedFrom: 'sheet',
  rule: 'No downstream head was read and free flow is not stated.',
  why: 'A drowned flume reads too much, and only the head downstream shows it.',
  needs: ['flumeHead', 'flumeDownstreamRead'],
  limits: [],
  raised: ({ flumeDownstreamRead }) => !flumeDownstreamRead,
  message: () => 'The head downstream of the flume was not read, and nothing says that flow was free.',
  remedy: 'Read it where that needs no leaning over the water, or state that a standing wave was seen.',
  cautions: ['lifting-and-falls', 'alone'],
  source: commonPractice('free flow is the condition of the table'),
  examples: {
    passes: [{ flumeHead: 0.2, flumeDownstreamRead: true }],
    raises: [{ flumeHead: 0.2, flumeDownstreamRead: false }],
  },
})
