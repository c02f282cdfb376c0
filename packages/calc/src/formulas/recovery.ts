/** How far a well has come back after the pump was stopped. */
import { defineFormula } from '../formula.ts'

/** Share of the drawdown that the water has risen again, a ratio; levels in m. */
export const recovery = defineFormula({
  id: 'recovery',
  title: 'Recovery of the well',
  unit: '1',
  inputs: { pumpingLevel: 'm', levelAfterStop: 'm', standingLevel: 'm' },
  expression: 'R = (h_p − h_t) / (h_p − h_s)',
  symbols: {
    pumpingLevel: ['h_p', 'pumping level'],
    levelAfterStop: ['h_t', 'level some time after the stop'],
    standingLevel: ['h_s', 'standing level'],
  },
  validity: 'The pumping level lies below the standing level.',
  source: { document: 'common practice', place: 'recovery after pumping', basis: 'common practice' },
  value: ({ pumpingLevel, levelAfterStop, standingLevel }) =>
    (pumpingLevel - levelAfterStop) / (pumpingLevel - standingLevel),
  partials: ({ pumpingLevel, levelAfterStop, standingLevel }) => {
    const fall = pumpingLevel - standingLevel
    return {
      pumpingLevel: (levelAfterStop - standingLevel) / (fall * fall),
      levelAfterStop: -1 / fall,
      standingLevel: (pumpingLevel - levelAfterStop) / (fall * fall),
    }
  },
})
