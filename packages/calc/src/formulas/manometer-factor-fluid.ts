/** What part of a column difference balances the velocity head, with another liquid in the manometer. */
import { defineFormula } from '../formula.ts'

/** Ratio of velocity head to column difference for a liquid of the given relative density. */
export const manometerFactorFluid = defineFormula({
  id: 'manometer-factor-fluid',
  title: 'Manometer factor',
  unit: '1',
  inputs: { relativeDensity: '1' },
  expression: 'k = |S − 1|',
  symbols: {
    relativeDensity: ['S', 'density of the manometer’s fluid relative to water'],
  },
  source: {
    document: 'ISO 3966:2008',
    place: 'differential pressure of a liquid column (item from memory)',
    basis: 'from memory',
  },
  value: ({ relativeDensity }) => Math.abs(relativeDensity - 1),
  partials: ({ relativeDensity }) => ({ relativeDensity: relativeDensity >= 1 ? 1 : -1 }),
})
