/**
 * Printed figures that the product does not reproduce, each with the cause and the size of the difference.
 * They are listed, not left out: a reader who knows the figure finds out why his result differs.
 */

import { endGauge } from '../../packages/calc/src/gum/testing.ts'
import { uncertaintyOf } from '../../packages/calc/src/uncertainty.ts'
import { convert, type Disagreement, formula, type Source, si } from './check.ts'
import { constantOfWaterHorsepower, diskPower, hp, leastEnergy } from './hydraulics.ts'
import { halfWidthOfFourRectangular } from './uncertainty.ts'
import { density } from './water.ts'

const looked = (publisher: string, document: string, place: string, address: string, year?: number): Source => ({
  publication: { publisher, document, place, ...(year === undefined ? {} : { year }) },
  basis: 'looked up',
  address,
})
const irrigationFormulas = looked(
  'public reference page',
  'Irrigation Formulas',
  'water measurement, pressure',
  'http://www.i4at.org/lib2/iformula.htm',
)
const trade: Source = {
  publication: { publisher: 'common practice', document: 'figures of the trade', place: 'energy to raise water' },
  basis: 'common practice',
}
const WATER = 1000

export const disagreements: readonly Disagreement[] = [
  {
    id: 'trade-psi',
    what: 'head of 1 psi',
    source: irrigationFormulas,
    printed: 2.31,
    unit: 'ft',
    within: 5e-4,
    computed: () =>
      convert(formula('pressure-head', { pressure: si(1, 'psi', 'pressure'), density: WATER }), 'm', 'length', 'ft'),
    cause: 'rounded to three digits; 2.3067 ft at 1000 kg/m³',
    apart: -0.00145,
  },
  {
    id: 'trade-water-horsepower',
    what: 'gpm × ft for a horsepower',
    source: looked(
      'Alabama Cooperative Extension',
      'ANR-0548, Efficient Irrigation Planning: The Pumping Unit',
      'formula for horsepower',
      'https://ssl.acesag.auburn.edu/anr/irrigation/new/docs/ANR-0548.php',
    ),
    printed: 3960,
    unit: 'gpm ft/hp',
    within: 5,
    computed: () => constantOfWaterHorsepower(WATER),
    cause: '33,000 ft lbf a minute over 8.333 lb/gal, rounded to ten; 3954.27 at 1000 kg/m³',
    apart: -0.00145,
  },
  {
    id: 'trade-acre-foot-foot',
    what: 'least energy of an acre-foot and a foot',
    source: trade,
    printed: 1.0241,
    unit: 'kWh/acre-ft/ft',
    within: 5e-5,
    computed: () => leastEnergy(WATER, 'kWh/acre-ft/ft'),
    cause: 'water of 8.345 lb/gal; 1.024155 at 1000 kg/m³',
    apart: 5.4e-5,
  },
  {
    id: 'trade-disk-constant',
    what: 'horsepower of 1 Wh a second',
    source: looked(
      'a pump maker',
      'Calculation of bowl head or discharge head, useful formulas',
      'input horsepower from revolutions',
      'https://pl.scribd.com/document/112311190/F51-183-Bowl-Discharge-Head',
      2005,
    ),
    printed: 4.826,
    unit: 'hp',
    within: 5e-4,
    computed: () => hp(diskPower(1, 1, 1, 1)),
    cause: 'horsepower of 746 W; 745.69987 W here',
    apart: 3.5e-4,
  },
  {
    id: 'survey-acre-foot',
    what: 'acre-foot',
    source: looked(
      'NIST',
      'Special Publication 811, Guide for the Use of the SI',
      'appendix B.8',
      'a public source text that quotes the appendix',
      2008,
    ),
    printed: 1233.489,
    unit: 'm3',
    within: 5e-4,
    computed: () => si(1, 'acre-ft', 'volume'),
    cause: 'of the US survey foot, retired in 2022; the product’s is of the international foot',
    apart: -5.8e-6,
  },
  {
    id: 'trade-second-foot',
    what: 'gallons per minute of a second-foot',
    source: irrigationFormulas,
    printed: 450,
    unit: 'gpm',
    within: 0.5,
    computed: () => convert(1, 'cfs', 'flow', 'gpm'),
    cause: 'rounded for mental arithmetic; 448.83',
    apart: -0.0026,
  },
  {
    id: 'table-water-horsepower',
    what: 'water horsepower of 50 gpm at 50 ft',
    source: looked(
      'public engineering reference',
      'Pumping water, required horsepower',
      'table, efficiency 1',
      'https://engineeringtoolbox.com/pumping-water-horsepower-d_753.html',
    ),
    printed: 0.631,
    unit: 'hp',
    within: 5e-4,
    computed: () =>
      hp(formula('water-power', { density: WATER, flow: si(50, 'gpm', 'flow'), head: si(50, 'ft', 'length') })),
    cause: 'the table divides by 3960',
    apart: 0.00195,
  },
  {
    id: 'worked-water-power',
    what: 'water power of 0.05 m³/s at 40 m',
    source: looked(
      'public engineering reference',
      'Pump power calculation, worked example',
      'hydraulic power',
      'https://www.konvertibly.com/blog/pump-power-calculator-guide',
    ),
    printed: 19.62,
    unit: 'kW',
    within: 5e-3,
    computed: () => formula('water-power', { density: WATER, flow: 0.05, head: 40 }) / 1000,
    cause: 'the example takes g as 9.81 m/s²; 9.80665 here',
    apart: -3.4e-4,
  },
  {
    id: 'table-density-40',
    what: 'density of water at 40 °C',
    source: looked(
      'public reference table',
      'table of pure water densities',
      '40 °C',
      'a public source text with the table',
    ),
    printed: 992.25,
    unit: 'kg/m3',
    within: 5e-3,
    computed: () => density(40),
    cause: 'the table stands alone: every other source prints 992.21 or 992.22',
    apart: -3.4e-5,
  },
  {
    id: 'gum-h1-second-order',
    what: 'u of the end gauge with terms of second order',
    source: {
      publication: { publisher: 'JCGM', document: 'JCGM 100:2008 (GUM)', place: 'H.1.7', year: 2008 },
      basis: 'from memory',
    },
    printed: 34,
    unit: 'nm',
    within: 0.5,
    computed: () => {
      const { graph, length } = endGauge()
      return uncertaintyOf(graph, length).standard
    },
    cause: 'propagation here is of first order; two inputs of zero make the second order count in this example',
    apart: -0.069,
  },
  {
    id: 'jcgm101-rectangular',
    what: 'half-width of the 95 % interval of a sum of four rectangular quantities',
    source: looked(
      'JCGM',
      'JCGM 101:2008',
      '9.2.3',
      'https://github.com/sandialabs/suncal/blob/482a1a857e94d3a8ed93a83d0215506112dab749/test/test_uncertainty.py',
      2008,
    ),
    printed: 3.88,
    unit: '1',
    within: 5e-3,
    computed: halfWidthOfFourRectangular,
    cause: 'the sum has shorter tails than the normal distribution that an interval by Student’s t supposes',
    apart: 0.0103,
  },
]
