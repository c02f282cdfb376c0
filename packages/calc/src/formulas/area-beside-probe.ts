/** Area that the stem of a probe leaves to the water. */
import { defineFormula } from '../formula.ts'

/** Area in m²: the pipe less the stem as the flow sees it. */
export const areaBesideProbe = defineFormula({
  id: 'area-beside-probe',
  title: 'Area beside the probe',
  unit: 'm2',
  inputs: { area: 'm2', width: 'm', immersion: 'm' },
  expression: 'A_eff = A − w · l',
  source: {
    document: 'ISO 3966:2008',
    place: 'blockage by the stem of the probe (item from memory)',
    basis: 'from memory',
  },
  symbols: {
    area: ['A', 'area of the pipe'],
    width: ['w', 'width of the stem across the flow'],
    immersion: ['l', 'length of the stem inside the pipe, mean over the points'],
  },
  validity: 'The stem takes no more than about 2 % of the area.',
  value: ({ area, width, immersion }) => area - width * immersion,
  partials: ({ width, immersion }) => ({ area: 1, width: -immersion, immersion: -width }),
})
