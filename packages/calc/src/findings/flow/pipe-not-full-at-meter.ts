import { defineFinding } from '../finding.ts'

export const pipeNotFullAtMeter = defineFinding({
  id: 'pipe-not-full-at-meter',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/pipe/runsFull',
  decidedFrom: 'sheet',
  rule: 'The pipe is said to be not full at the measuring section.',
  why: 'A meter takes the pipe for full; it shows too much.',
  needs: ['pipeRunsFull'],
  limits: [],
  raised: ({ pipeRunsFull }) => !pipeRunsFull,
  message: () => 'The pipe was not full at the section where flow was measured; the method takes it for full.',
  remedy: 'Have the outlet raised by whoever looks after the pipe, or measure where the pipe is full.',
  cautions: ['place-for-the-water'],
  source: {
    document: 'Kansas State University Cooperative Extension, Irrigation Water Measurement',
    place: 'propeller meters: the pipe must flow full',
    basis: 'looked up',
  },
  examples: {
    passes: [{ pipeRunsFull: true }],
    raises: [{ pipeRunsFull: false }],
  },
})
