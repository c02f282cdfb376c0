/** Power of a supply from what was read behind its transformers. */
import { defineFormula } from '../formula.ts'

/** Power in W on the primary side of current and voltage transformers. */
export const primaryPower = defineFormula({
  id: 'primary-power',
  title: 'Power before the transformers',
  unit: 'W',
  inputs: { secondary: 'W', currentRatio: '1', voltageRatio: '1' },
  expression: 'P = P_s · CT · PT',
  symbols: {
    secondary: ['P_s', 'power on the secondary side'],
    currentRatio: ['CT', 'ratio of the current transformers; 200:5 is 40'],
    voltageRatio: ['PT', 'ratio of the voltage transformers, 1 without them'],
  },
  source: {
    document: 'common practice',
    place: 'a reading behind transformers is multiplied by their ratios',
    basis: 'common practice',
  },
  value: ({ secondary, currentRatio, voltageRatio }) => secondary * currentRatio * voltageRatio,
  partials: ({ secondary, currentRatio, voltageRatio }) => ({
    secondary: currentRatio * voltageRatio,
    currentRatio: secondary * voltageRatio,
    voltageRatio: secondary * currentRatio,
  }),
})
