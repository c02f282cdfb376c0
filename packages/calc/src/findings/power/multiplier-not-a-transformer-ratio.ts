import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Registers are also read times a power of ten. */
const POWERS_OF_TEN = [1, 10, 100, 1000] as const

/**
 * Ratios of current transformers from 50:5 to 3000:5. Primary ratings as in IEEE C57.13, table 8 (taps of
 * multi-ratio transformers, looked up in a reprint by a maker), and 75:5 (from memory of single ratios).
 */
const CURRENT_RATIOS = [
  10, 15, 20, 30, 40, 50, 60, 80, 90, 100, 120, 160, 180, 200, 220, 240, 300, 320, 400, 440, 500, 600,
] as const

/** Usual ratios of voltage transformers, 1 for none; from memory. */
const VOLTAGE_RATIOS = [1, 2, 2.4, 4, 20, 35, 40, 60] as const

/** Products are rounded binary fractions: 2.4 × 15 may not be 36 to the last bit. */
const ROUNDING = 1e-9
const same = (a: number, b: number): boolean => Math.abs(a - b) <= ROUNDING * b

function isUsual(multiplier: number): boolean {
  for (const ratio of POWERS_OF_TEN) if (same(multiplier, ratio)) return true
  for (const current of CURRENT_RATIOS) {
    for (const voltage of VOLTAGE_RATIOS) if (same(multiplier, current * voltage)) return true
  }
  return false
}

export const multiplierNotATransformerRatio = defineFinding({
  id: 'multiplier-not-a-transformer-ratio',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/multiplier',
  decidedFrom: 'sheet',
  rule: 'The multiplier is not a product of usual transformer ratios.',
  why: 'A misread digit looks like this.',
  needs: ['meterMultiplier'],
  limits: [],
  raised: ({ meterMultiplier }) => !isUsual(meterMultiplier),
  message: ({ meterMultiplier }, say) =>
    `The multiplier is given as ${say.number(meterMultiplier)}; 1, a power of ten, or a product of usual transformer ratios such as 40 (200:5) is expected.`,
  remedy:
    'Read the multiplier again from the face of the meter or the utility’s card, from outside, and photograph it.',
  cautions: ['electrical-panel'],
  source: ourJudgement(
    'current transformers from 50:5 to 3000:5 in standard steps, times 1 or a usual voltage ratio; powers of ten for registers',
  ),
  examples: {
    passes: [
      { meterMultiplier: 1 },
      { meterMultiplier: 1000 },
      { meterMultiplier: 40 },
      { meterMultiplier: 36 },
      { meterMultiplier: 36_000 },
    ],
    raises: [{ meterMultiplier: 41 }, { meterMultiplier: 0.1 }, { meterMultiplier: 7 }],
  },
})
