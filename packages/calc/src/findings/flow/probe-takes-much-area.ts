import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const probeTakesMuchArea = defineFinding({
  id: 'probe-takes-much-area',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/pipe/probeStem',
  decidedFrom: 'sheet',
  rule: 'The stem of a tube or probe takes a large share of the area of the pipe.',
  why: 'The water speeds up beside the stem, and taking its area off corrects a small share only.',
  needs: ['probeBlockage'],
  limits: ['maxBlockage'],
  raised: ({ probeBlockage }, limits) => exceeds(probeBlockage, limits.maxBlockage),
  message: ({ probeBlockage }, say, limits) =>
    `The stem takes ${say.percent(probeBlockage)} of the area of the pipe; its correction holds up to ${say.percent(limits.maxBlockage)}.`,
  remedy: 'Use a thinner tube, changed with the valve of the tapping closed, or another flow method.',
  cautions: ['drilling-pressurised-pipe'],
  source: fromMemory('ISO 3966:2008', 'blockage by the stem of the probe'),
  examples: { passes: [{ probeBlockage: 0.02 }, { probeBlockage: 0.004 }], raises: [{ probeBlockage: 0.021 }] },
})
