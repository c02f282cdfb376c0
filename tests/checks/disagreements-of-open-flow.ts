/** Printed figures of flow in the open that the product does not reproduce, each with the cause. */
import { convert, type Disagreement, formula, lookedUp, si } from './check.ts'

const LIBRARY = 'https://github.com/CalebBell/fluids/blob/01911628bc8a1d34ef7d63e2c4bb948885c76065/fluids/open_flow.py'

const feet = (value: number): number => si(value, 'ft', 'length')
const inches = (value: number): number => si(value, 'in', 'length')
const gpm = (flow: number): number => convert(flow, 'm3/s', 'flow', 'gpm')
const overNotch = (angle: number, head: number): number =>
  formula('v-notch-flow', { angle: si(angle, 'deg', 'angle'), head })

export const disagreementsOfOpenFlow: readonly Disagreement[] = [
  {
    id: 'notch-without-correction',
    what: '60-degree notch, head 0.30 ft',
    source: lookedUp(
      'ASTM',
      'D5242-92, Open-Channel Flow Measurement of Water with Thin-Plate Weirs, as quoted in a discharge table',
      '60-degree notch, table',
      'https://scribd.com/doc/258880814/60-Degree-v-Notch-Weir-Discharge-Table',
      2001,
    ),
    printed: 31.92,
    unit: 'gpm',
    within: 0.005,
    computed: () => gpm(overNotch(60, feet(0.3))),
    cause: 'one coefficient for all heads; the correction of the head counts most where the head is small',
    apart: 0.018,
  },
  {
    id: 'notch-constant-left-out',
    what: '45-degree notch, head 0.6 m',
    source: lookedUp(
      'US Geological Survey',
      'Water-Supply Paper 1617-B, as coded in a public library',
      'V-notch weir, example',
      LIBRARY,
      1981,
    ),
    printed: 0.21072,
    unit: 'm3/s',
    within: 5e-6,
    computed: () => overNotch(45, 0.6),
    cause: 'the code multiplies C_e by √g alone, where the formula has 8/15 √(2 g): 0.754 of it',
    apart: -0.24,
  },
  {
    id: 'weir-correction-a-tenth',
    what: 'narrow weir of 1 m, 0.5 m high, head 0.2 m',
    source: lookedUp(
      'American Society of Civil Engineers',
      'Kindsvater and Carter, Discharge Characteristics of Rectangular Thin-Plate Weirs, as coded in a public library',
      'contracted weir, example',
      LIBRARY,
      1957,
    ),
    printed: 0.15546,
    unit: 'm3/s',
    within: 5e-6,
    computed: () =>
      formula('rectangular-weir-flow', { crestLength: 1, channelWidth: 1e6, crestHeight: 0.5, head: 0.2 }),
    cause: 'the code adds 0.1 mm to the head, where the paper adds 1 mm',
    apart: 0.0055,
  },
  {
    id: 'jet-of-one-foot',
    what: 'level pipe of 6 in, jet 24 in out and 12 in down',
    source: lookedUp(
      'Virginia Community College System',
      'Estimation of Flow',
      'area in in² times distance in in, for a fall of 1 ft',
      'http://water.me.vccs.edu/flow_estimate2.htm',
    ),
    printed: 678.6,
    unit: 'gpm',
    within: 0.5,
    computed: () =>
      gpm(
        formula('flow-in-pipe', {
          velocity: formula('jet-velocity', { distance: inches(24), fall: inches(12), slope: 0 }),
          area: formula('pipe-area', { diameter: inches(6) }),
        }),
      ),
    cause: 'the constant 3.61/√12 = 1.042 is rounded to 1; the page gives its rule 5 percent',
    apart: 0.042,
  },
]
