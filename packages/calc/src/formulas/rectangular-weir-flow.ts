/** Flow over a thin-plate rectangular weir, contracted or over the whole width. */

import { STANDARD_GRAVITY } from '../constants.ts'
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

const K = (2 / 3) * Math.sqrt(2 * STANDARD_GRAVITY)
/** Correction of the head for viscosity and surface tension, m. */
const K_H = 0.001

/** Crest over channel width → a, c of C_e = a + c h/P, and the correction of the crest k_b in m. */
const BY_WIDTH: readonly (readonly [share: number, a: number, c: number, kb: number])[] = [
  [0, 0.587, -0.0023, 0.0024],
  [0.2, 0.589, -0.0018, 0.0024],
  [0.4, 0.591, 0.0058, 0.0027],
  [0.5, 0.592, 0.011, 0.003],
  [0.6, 0.593, 0.018, 0.0036],
  [0.7, 0.594, 0.03, 0.0041],
  [0.8, 0.596, 0.045, 0.0042],
  [0.9, 0.598, 0.064, 0.0035],
  [1, 0.602, 0.075, -0.0009],
]

/** Linear between the lines of the table, with slopes over the share. */
function byWidth(share: number) {
  const at = BY_WIDTH.findIndex(([upper]) => upper >= share)
  const [high, low] = [BY_WIDTH[at === -1 ? 8 : Math.max(at, 1)]!, BY_WIDTH[at === -1 ? 7 : Math.max(at, 1) - 1]!]
  const width = high[0] - low[0]
  const line = (n: 1 | 2 | 3) => {
    const slope = (high[n] - low[n]) / width
    return { value: low[n] + slope * (share - low[0]), slope }
  }
  return { a: line(1), c: line(2), kb: line(3) }
}

/** Flow in m³/s; crest length, channel width, crest height and head in m (Kindsvater and Carter). */
export const rectangularWeirFlow = defineFormula({
  id: 'rectangular-weir-flow',
  title: 'Flow over the rectangular weir',
  unit: 'm3/s',
  inputs: { crestLength: 'm', channelWidth: 'm', crestHeight: 'm', head: 'm' },
  expression: 'Q = (a + c h/P) · 2/3 · √(2 g) · (b + k_b) · (h + k_h)^1.5; a, c, k_b by b/B',
  symbols: {
    crestLength: ['b', 'length of the crest'],
    channelWidth: ['B', 'width of the channel; equal to b where the weir is suppressed'],
    crestHeight: ['P', 'height of the crest above the floor'],
    head: ['h', 'head over the crest, read upstream'],
  },
  validity:
    'h at least 0.03 m and at most 2 P, b at least 0.15 m, P at least 0.10 m; free and ventilated. a, c and k_b by b/B, linear between the lines of the table; k_h 1 mm.',
  source: { document: 'ISO 1438:2017', place: 'Kindsvater–Carter coefficients (from memory)', basis: 'from memory' },
  value: ({ crestLength, channelWidth, crestHeight, head }) => {
    const { a, c, kb } = byWidth(Math.min(1, crestLength / channelWidth))
    return K * (a.value + (c.value * head) / crestHeight) * (crestLength + kb.value) * power(head + K_H, 1.5)
  },
  partials: ({ crestLength, channelWidth, crestHeight, head }) => {
    const share = crestLength / channelWidth
    const { a, c, kb } = byWidth(Math.min(1, share))
    const coefficient = a.value + (c.value * head) / crestHeight
    const over = power(head + K_H, 1.5)
    const length = crestLength + kb.value
    // Over the share of the width, and through it over both lengths; none where the weir takes the whole width.
    const byShare =
      share >= 1 ? 0 : K * over * ((a.slope + (c.slope * head) / crestHeight) * length + coefficient * kb.slope)
    return {
      crestLength: K * coefficient * over + byShare / channelWidth,
      channelWidth: (-byShare * share) / channelWidth,
      crestHeight: (-K * c.value * head * length * over) / power(crestHeight, 2),
      head: K * length * over * (c.value / crestHeight + (1.5 * coefficient) / (head + K_H)),
    }
  },
})
