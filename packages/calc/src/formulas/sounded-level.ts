/** Water level below the level datum from a sounder. */
import { defineFormula } from '../formula.ts'

/** Depth in m below the level datum: tape reading at the measuring point less the point's height above the datum. */
export const soundedLevel = defineFormula({
  id: 'sounded-level',
  title: 'Water level below the datum',
  unit: 'm',
  inputs: { tape: 'm', measuringPoint: 'm' },
  expression: 'h = r − c',
  symbols: {
    tape: ['r', 'tape at the measuring point'],
    measuringPoint: ['c', 'measuring point above the level datum'],
  },
  source: {
    document: 'USGS, Groundwater Technical Procedures GWPD 4, version 2010.1',
    place: 'measuring-point correction (item from memory)',
    basis: 'from memory',
  },
  value: ({ tape, measuringPoint }) => tape - measuringPoint,
  partials: () => ({ tape: 1, measuringPoint: -1 }),
})
