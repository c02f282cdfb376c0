import { defineFinding, exceeds, fallsShort } from '../finding.ts'

export const weirHeadOutOfRange = defineFinding({
  id: 'weir-head-out-of-range',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/head',
  decidedFrom: 'sheet',
  rule: 'The head over the V-notch, or its angle, is outside the range of its formula.',
  why: 'Below it the water clings to the plate, above it the notch no longer contracts the stream as it was calibrated.',
  needs: ['vNotchWeir', 'weirHead', 'notchAngle'],
  limits: ['minVHead', 'maxVHead', 'minNotchAngle', 'maxNotchAngle'],
  raised: ({ weirHead, notchAngle }, limits) =>
    fallsShort(weirHead, limits.minVHead) ||
    exceeds(weirHead, limits.maxVHead) ||
    fallsShort(notchAngle, limits.minNotchAngle) ||
    exceeds(notchAngle, limits.maxNotchAngle),
  message: ({ weirHead, notchAngle }, say, limits) =>
    `The head is ${say.length(weirHead)} over a notch of ${say.number((notchAngle * 180) / Math.PI)}°; the formula holds from ${say.length(limits.minVHead)} to ${say.length(limits.maxVHead)} and for notches of ${say.number((limits.minNotchAngle * 180) / Math.PI)}° to ${say.number((limits.maxNotchAngle * 180) / Math.PI)}°.`,
  remedy: 'Use a notch that fits the flow.',
  cautions: ['lifting-and-falls', 'alone'],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 7',
    basis: 'looked up',
  },
  examples: {
    passes: [
      { vNotchWeir: true, weirHead: 0.06096, notchAngle: Math.PI / 2 },
      { vNotchWeir: true, weirHead: 0.381, notchAngle: Math.PI / 2 },
      { vNotchWeir: true, weirHead: 0.2, notchAngle: (25 * Math.PI) / 180 },
      { vNotchWeir: true, weirHead: 0.2, notchAngle: (100 * Math.PI) / 180 },
    ],
    raises: [
      { vNotchWeir: true, weirHead: 0.06, notchAngle: Math.PI / 2 },
      { vNotchWeir: true, weirHead: 0.39, notchAngle: Math.PI / 2 },
      { vNotchWeir: true, weirHead: 0.2, notchAngle: 0.4 },
    ],
  },
})
