/** Means and spreads of repeats, zeros, multipliers, efficiencies and costs, against worked examples that others printed. */
import { type Check, formula, lookedUp, type Row, rowsToChecks, si } from './check.ts'

const WATER = 1000
const metres = (value: number): number => si(value, 'ft', 'length')

const pullOff = lookedUp(
  'Wiley',
  'Montgomery and Runger, Applied Statistics and Probability for Engineers',
  'table 6-1, pull-off force',
  'https://issuhub.com/view/index?id=5218&pageIndex=231',
)

const pistonRings = lookedUp(
  'public page of solved exercises',
  'eight inside diameters of piston rings',
  'sample mean',
  'https://wizedu.com/questions/571645/eight-measurements-were-made-on-the-inside',
)

const duplicates = lookedUp(
  'public reference page',
  'Relative percent difference',
  'worked example, 12.4 and 14.1',
  'https://calculator.academy/rpd-relative-percent-difference-calculator/',
)

const transformers = lookedUp(
  'utility training text',
  'Current transformers',
  'ratio of 400:5',
  'http://c03.apogee.net/contentplayer/?coursetype=foe&utilityid=demo&layout=landelement&id=4514',
)

const navalMeters = lookedUp(
  'US Navy',
  'MO-221, watt-hour meters with instrument transformers',
  'current 20:5, potential 7200:120',
  'http://navalfacilities.tpub.com/mo221/mo2210142.htm',
)

const efficiencyPage = lookedUp(
  'public engineering reference',
  'Motor/Equipment Efficiency',
  'worked example, 50 hp at 93 %',
  'https://www.electrakit.com/formulas/efficiency-formula',
)

const costPage = lookedUp(
  'public engineering reference',
  'Pumping Water - Costs',
  'example of 10 gpm and 10 ft',
  'http://www.engineeringtoolbox.com/water-pumping-costs-d_1527.html',
)

const costPerThousand = lookedUp(
  'pump trade journal',
  'cost of pumping, power cost and efficiency',
  'equation 1, cost of 1000 gallons',
  'https://pumpsandsystems.com/cost-pumping-power-cost-efficiency',
)

const zeroError = lookedUp(
  'National Taiwan Normal University, physics pages',
  'Zero error of a scale',
  'readings with a zero of +0.10 and of −0.08',
  'http://www.phy.ntnu.edu.tw/ntnujava/msg.php?id=9280',
)

/** Energy in J for a m³ of water that is raised by so many metres, at an efficiency. */
function energyPerVolume(head: number, efficiency: number): number {
  const flow = si(10, 'gpm', 'flow')
  const inputPower = formula('water-power', { density: WATER, flow, head }) / efficiency
  return formula('energy-per-volume', { inputPower, flow })
}

const PER_KWH = 1 / si(1, 'kWh', 'energy')

const THOUSAND_GALLONS = si(1000, 'gal', 'volume')

const FORCES = [12.6, 12.9, 13.4, 12.3, 13.6, 13.5, 12.6, 13.1]

const RINGS = [74.001, 74.003, 74.015, 74, 74.005, 74.002, 74.006, 74]

const anyScale = 'the mean of any scale'

const readings: readonly Row[] = [
  [
    'mean-1',
    'mean of eight forces, 12.3 to 13.6',
    pullOff,
    13,
    '1',
    1e-9,
    () => formula('mean-power', { powers: FORCES }),
    anyScale,
  ],
  ['mean-2', 'the same as rates', pullOff, 13, '1', 1e-9, () => formula('mean-rate', { rates: FORCES }), anyScale],
  [
    'mean-3',
    'mean of eight diameters, 74.000 to 74.015',
    pistonRings,
    74.004,
    '1',
    5e-4,
    () => formula('point-mean-velocity', { velocities: RINGS }),
    anyScale,
  ],
  [
    'spread-1',
    'difference of 12.4 and 14.1 relative to their mean',
    duplicates,
    12.83,
    '%',
    5e-3,
    () => formula('timing-spread', { powers: [12.4, 14.1] }) * 100,
  ],
  [
    'zero-1',
    'a reading of 19.54 with a zero of +0.10',
    zeroError,
    19.44,
    '1',
    5e-3,
    () => formula('vented-pressure', { shown: 19 + 0.54, zero: 0.1 }),
    'a length; the zero of any scale is taken off alike',
  ],
  [
    'zero-2',
    'a reading of 19.36 with a zero of −0.08',
    zeroError,
    19.44,
    '1',
    5e-3,
    () => formula('vented-pressure', { shown: 19 + 0.36, zero: -0.08 }),
    'a length; the zero of any scale is taken off alike',
  ],
]

const powers: readonly Row[] = [
  [
    'multiplier-1',
    'what stands for 5 A at a meter behind 400:5',
    transformers,
    400,
    'A',
    0.5,
    () => formula('metered-power', { shown: 5, multiplier: 80 }),
    'current and power are multiplied alike',
  ],
  [
    'multiplier-2',
    'product of current ratio 4 and potential ratio 60',
    navalMeters,
    240,
    '1',
    0.5,
    () => formula('metered-power', { shown: 4, multiplier: 60 }),
    'a meter shows 4 behind its current transformers alone',
  ],
  [
    'efficiency-1',
    'input for an output of 37,300 W at 93 %',
    efficiencyPage,
    40_108,
    'W',
    0.6,
    () => formula('drive-input-power', { outputPower: 37_300, driveEfficiency: 0.93 }),
    'a motor there; its input is found as that of a drive is',
  ],
  [
    'efficiency-2',
    'output of an input of 40,108 W at 93 %',
    efficiencyPage,
    37_300,
    'W',
    0.6,
    () => formula('motor-input-power', { inputPower: 40_108, driveEfficiency: 0.93 }),
    'a motor there; what passes it is found as what passes a drive',
  ],
  [
    'difference-1',
    'what is left of 40,108 W less 2,808 W',
    efficiencyPage,
    37_300,
    'W',
    0.5,
    () => formula('input-power', { metered: 40_108, otherLoad: 2_808 }),
    'a loss there; another load is taken off alike',
  ],
]

const costs: readonly Row[] = [
  [
    'cost-1',
    'an hour of 10 gpm by 10 ft, 90 % and 90 %, 0.1 USD/kWh',
    costPage,
    0.002,
    'USD/h',
    5e-4,
    () =>
      formula('cost-per-volume', { energyPerVolume: energyPerVolume(metres(10), 0.81), rate: 0.1 * PER_KWH }) *
      si(10, 'gpm', 'flow') *
      3600,
  ],
  [
    'cost-2',
    '60 times the cost of 1000 gallons by 1 ft at 1 USD/kWh without loss',
    costPerThousand,
    0.189,
    'USD',
    5e-4,
    () =>
      60 *
      THOUSAND_GALLONS *
      formula('cost-per-volume', { energyPerVolume: energyPerVolume(metres(1), 1), rate: PER_KWH }),
  ],
  [
    'intensity-1',
    '60 times the energy of 1000 gallons and a foot, from 250 ft',
    costPerThousand,
    0.189,
    'kWh',
    5e-4,
    () =>
      60 *
      THOUSAND_GALLONS *
      metres(1) *
      PER_KWH *
      formula('energy-per-volume-and-head', { energyPerVolume: energyPerVolume(metres(250), 1), head: metres(250) }),
    'by a price of 1 USD/kWh',
  ],
]

export const repeatAndCostChecks: readonly Check[] = rowsToChecks([...readings, ...powers, ...costs])
